// Runs the module: its standard input in, its standard output back. A run has a clock, randomness and nothing else of the
// machine (WASI preview 1).

const WASI = (() => {
  const DONE = 0;
  const NO_FILE = 8;
  const NOT_HERE = 52;
  const CHARACTERS = 2; // the kind of file that standard input and output are

  class Left extends Error {}

  const run = async (module, input) => {
    let memory;
    let read = 0;
    const out = [[], [], []];
    const view = () => new DataView(memory.buffer);
    const bytes = (at, length) => new Uint8Array(memory.buffer, at, length);
    const parts = (at, count) =>
      Array.from({ length: count }, (_, i) => bytes(view().getUint32(at + 8 * i, true), view().getUint32(at + 8 * i + 4, true)));
    const none = (count, size) => {
      view().setUint32(count, 0, true);
      view().setUint32(size, 0, true);
      return DONE;
    };
    const calls = {
      fd_read: (fd, at, count, told) => {
        if (fd !== 0) return NO_FILE;
        let taken = 0;
        for (const part of parts(at, count)) {
          const piece = input.subarray(read, read + part.length);
          part.set(piece);
          read += piece.length;
          taken += piece.length;
        }
        view().setUint32(told, taken, true);
        return DONE;
      },
      fd_write: (fd, at, count, told) => {
        if (fd !== 1 && fd !== 2) return NO_FILE;
        let given = 0;
        for (const part of parts(at, count)) {
          out[fd].push(part.slice());
          given += part.length;
        }
        view().setUint32(told, given, true);
        return DONE;
      },
      fd_fdstat_get: (fd, at) => {
        if (fd > 2) return NO_FILE;
        bytes(at, 24).fill(0);
        view().setUint8(at, CHARACTERS);
        return DONE;
      },
      fd_prestat_get: () => NO_FILE,
      fd_close: () => DONE,
      args_sizes_get: none,
      args_get: () => DONE,
      environ_sizes_get: none,
      environ_get: () => DONE,
      clock_time_get: (clock, _precision, at) => {
        const now = clock === 0 ? Date.now() : performance.now();
        view().setBigUint64(at, BigInt(Math.round(now * 1e6)), true);
        return DONE;
      },
      random_get: (at, length) => {
        for (let from = 0; from < length; from += 65536) {
          crypto.getRandomValues(bytes(at + from, Math.min(65536, length - from)));
        }
        return DONE;
      },
      sched_yield: () => DONE,
      proc_exit: (code) => {
        throw new Left(String(code));
      },
    };
    const given = {};
    for (const { module: from, name } of WebAssembly.Module.imports(module)) {
      given[from] ||= {};
      given[from][name] = calls[name] || (() => NOT_HERE);
    }
    const instance = await WebAssembly.instantiate(module, given);
    memory = instance.exports.memory;
    try {
      instance.exports._start();
    } catch (left) {
      if (!(left instanceof Left) || left.message !== "0") {
        throw new Error(`the module stopped: ${left.message} ${await new Blob(out[2]).text()}`);
      }
    }
    return new Blob(out[1]).text();
  };

  return { run };
})();

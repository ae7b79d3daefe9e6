// What a phone keeps for when the server cannot be reached: what it carries of the shop, and what it holds for it.

const QUEUE = (() => {
  let opened;
  const open = () => {
    opened ||= new Promise((resolve, reject) => {
      const asked = indexedDB.open("gudgeon", 1);
      asked.onupgradeneeded = () => {
        asked.result.createObjectStore("held", { keyPath: "id", autoIncrement: true });
        asked.result.createObjectStore("carried");
      };
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
    return opened;
  };
  // One act on one store. A flat battery must not take what was told to be held, so the disk is waited for.
  const act = async (store, mode, work) => {
    const base = await open();
    return new Promise((resolve, reject) => {
      const step = base.transaction(store, mode, { durability: "strict" });
      const asked = work(step.objectStore(store));
      step.oncomplete = () => resolve(asked && asked.result);
      step.onabort = step.onerror = () => reject(step.error);
    });
  };

  return {
    held: () => act("held", "readonly", (store) => store.getAll()),
    hold: (item) => act("held", "readwrite", (store) => store.add(item)),
    change: (item) => act("held", "readwrite", (store) => store.put(item)),
    drop: (id) => act("held", "readwrite", (store) => store.delete(id)),
    carried: (name) => act("carried", "readonly", (store) => store.get(name)),
    carry: (name, value) => act("carried", "readwrite", (store) => store.put(value, name)),
    forget: (name) => act("carried", "readwrite", (store) => store.delete(name)),
  };
})();

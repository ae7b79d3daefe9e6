//! A line answered by the module that a phone carries, beside the same line over loopback: what it costs to go on without
//! the server. Node runs the module as the phone's worker does, one fresh instance to a line.

use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;

use anyhow::{Context as _, Result, bail, ensure};
use gudgeon::config::Config;
use gudgeon::{fronts::web, shop};
use serde_json::{Value, json};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::Runtime;

use super::measure::{Effort, Sheet, Subject, Unit, side_by_side, timed};
use super::wire;

const LINE: &str = "ring gap 4.030in marine";
/// Lines of each in a round.
const LINES: usize = 20;

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let runtime = Runtime::new()?;
    let config = Config { data: folder.path().to_owned(), ..Config::default() };
    let desk = Arc::new(shop::open(&config)?);
    let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0"))?;
    let to = listener.local_addr()?;
    runtime.spawn(async move { web::serve(listener, desk, &config, std::future::pending()).await });

    let origin = format!("http://{to}");
    let door = runtime.block_on(wire::ask(to, "POST", "/door", &[("Origin", &origin)], "person=tech-1"));
    let cookie = door.header("set-cookie").and_then(|cookie| cookie.split(';').next()).context("no cookie")?.to_owned();
    let headers = [("Cookie", cookie.as_str()), ("Origin", origin.as_str()), ("X-Card", "1")];
    let get = |path: &str| runtime.block_on(wire::ask(to, "GET", path, &headers, ""));
    let worker = get("/worker.js").text();
    let Some(module) = worker.split('"').find(|part| part.starts_with("/assets/module/")) else {
        sheet.note("offline: this build has no module for phones (`rustup target add wasm32-wasip1`).");
        return Ok(());
    };
    if Command::new("node").arg("--version").stdout(Stdio::null()).status().is_err() {
        sheet.note("offline: node is not there to run the module.");
        return Ok(());
    }
    let form = format!("key=k&line={}", wire::coded(LINE));
    let sent = json!({ "method": "POST", "address": "/line", "card": true, "form": form, "at": 1_800_000_000_000_i64 });
    let asked = vec![json!({ "held": [], "sent": sent }); LINES];
    let keep = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes);
    keep("record.json", &unpacked(&get("/carried/record").body)?)?;
    keep("shelf.json", &unpacked(&get("/carried/shelf").body)?)?;
    keep("module.gz", &get(module).body)?;
    keep("asked.json", json!(asked).to_string().as_bytes())?;

    let mut stream = runtime.block_on(TcpStream::connect(to))?;
    let there = runtime.block_on(wire::ask_on(&mut stream, to, "POST", "/line", &headers, &form));
    ensure!(there.text().contains("0.0"), "the line is not answered: {}", there.text());
    let series = side_by_side(
        Effort { rounds: effort.rounds.min(10), ..effort },
        vec![
            Subject::new("offline: a line by the module", || by_module(folder.path())),
            Subject::new("the same over loopback", || {
                let one = |_| {
                    let ask = wire::ask_on(&mut stream, to, "POST", "/line", &headers, &form);
                    let (seconds, answer) = timed(|| runtime.block_on(ask));
                    ensure!(answer.status == 200, "{}", answer.status);
                    Ok(seconds)
                };
                (0..LINES).map(one).collect()
            }),
        ],
    )?;
    let [module, foot] = series.as_slice() else { bail!("two subjects, two series") };
    sheet.compare(Unit::Seconds, module, foot);
    sheet.note(
        "offline: a fresh instance of the module to a line, which reads the whole shelf and the open jobs each time.",
    );
    runtime.shutdown_background();
    Ok(())
}

fn unpacked(packed: &[u8]) -> Result<Vec<u8>> {
    let mut out = Vec::new();
    std::io::Read::read_to_end(&mut flate2::read::GzDecoder::new(packed), &mut out)?;
    Ok(out)
}

/// Seconds of each line, as node takes them around the module.
fn by_module(folder: &Path) -> Result<Vec<f64>> {
    let house = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut node = Command::new("node");
    node.arg(house.join("tests/browser/pocket.mjs")).arg(folder).arg(house.join("src/fronts/web/assets/wasi.js"));
    let done = node.output()?;
    ensure!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let out: Value = serde_json::from_slice(&done.stdout)?;
    let answers = out["answers"].as_array().context("no answers")?;
    ensure!(answers.iter().all(|answer| answer["told"]["status"] == 200), "the module does not answer");
    let took = out["took"].as_array().context("no times")?;
    Ok(took.iter().filter_map(Value::as_f64).map(|ms| ms / 1e3).collect())
}

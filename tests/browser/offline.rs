//! The phone by itself: the module says what the server says, and what is held is posted once, in order, or asked about.

use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::time::Duration;

use gudgeon::desk::{Asker, Front, Outcome};
use regex::Regex;
use serde_json::{Value, json};
use tokio::runtime::Runtime;

use super::rig::{Screen, Served, on_phone, serve};
use super::wire::{Answer, ask, coded};
use crate::house::sums::sums;
use crate::pictures;
use crate::talks::clock;

const PERSON: &str = "tech-1";
const LAST: &str = "#talk > .exchange:last-of-type:not(.unsent)";

async fn post(shop: &Served, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
    let origin = format!("http://{}", shop.address);
    ask(shop.address, "POST", path, &[headers, &[("Origin", origin.as_str())]].concat(), body).await
}

async fn ticket(shop: &Served) -> String {
    let answer = post(shop, "/door", &[], &format!("person={PERSON}&code=")).await;
    answer.header("set-cookie").unwrap().split(';').next().unwrap().to_owned()
}

/// A text that travels packed.
fn unpacked(answer: &Answer) -> Vec<u8> {
    assert_eq!((answer.status, answer.header("content-encoding")), (200, Some("gzip")));
    let mut out = Vec::new();
    std::io::Read::read_to_end(&mut flate2::read::GzDecoder::new(&answer.body[..]), &mut out).unwrap();
    out
}

/// Every sum's example and every line of the talks that begins with a sum, as typed.
fn lines(desk: &gudgeon::desk::Desk) -> Vec<String> {
    let sums: Vec<&gudgeon::desk::Form> = sums(desk).collect();
    let mut lines: Vec<String> = sums.iter().map(|form| form.example.clone()).collect();
    let talks = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/talks");
    for folder in [talks.clone(), talks.join("refusals")] {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let Ok(text) = std::fs::read_to_string(&path) else { continue };
            let said = text.lines().filter_map(|line| line.split_once("> ")).filter(|(name, _)| !name.contains(' '));
            let sum = |line: &&str| sums.iter().any(|form| line.starts_with(&format!("{} ", form.words())));
            lines.extend(said.map(|(_, line)| line).filter(sum).map(str::to_owned));
        }
    }
    for words in ["orient", "clock show", "limits", "word", "procedure", "next", "job show", "review matrix", "convert"]
    {
        lines.extend(desk.form(words).map(|form| form.example.clone()));
    }
    lines.sort();
    lines.dedup();
    lines
}

/// A card without the names that are made anew each time, and without the link to a painted figure and the camera, which a
/// phone by itself has not.
fn bare(card: &str) -> String {
    let camera = r#"<div class="camera">.*?</ul></div>| formaction="/form/photo" formenctype="multipart/form-data""#;
    let links = Regex::new(&format!("<figcaption>.*?</figcaption>|{camera}")).unwrap();
    let names = Regex::new("e?[0-9a-f]{32}").unwrap();
    names.replace_all(&links.replace_all(card, ""), "NAME").into_owned()
}

#[tokio::test]
#[cfg_attr(not(pocket), ignore = "built without the phone's module: GUDGEON_POCKET=1, as tests/run has it")]
async fn the_module_says_what_the_server_says() {
    let shop = serve(|_| {}).await;
    let cookie = ticket(&shop).await;
    let own = [("Cookie", cookie.as_str()), ("X-Card", "1")];
    let folder = tempfile::tempdir().unwrap();
    let keep = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).unwrap();
    keep("record.json", &unpacked(&ask(shop.address, "GET", "/carried/record", &own, "").await));
    keep("shelf.json", &unpacked(&ask(shop.address, "GET", "/carried/shelf", &own, "").await));
    let worker = ask(shop.address, "GET", "/worker.js", &own, "").await.text();
    let module =
        worker.split('"').find(|part| part.starts_with("/assets/module/pocket-")).expect("the module's address");
    let module = ask(shop.address, "GET", module, &own, "").await;
    keep("module.gz", &module.body);
    let lines = lines(&shop.desk);
    assert!(lines.len() > 100, "only {} lines", lines.len());
    let sent = |line: &String| {
        json!({ "held": [], "sent": { "method": "POST", "address": "/line", "card": true, "at": 1_800_000_000_000_i64,
                "form": format!("key=k&line={}", coded(line)) } })
    };
    keep("asked.json", json!(lines.iter().map(sent).collect::<Vec<_>>()).to_string().as_bytes());

    let house = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut node = Command::new("node");
    node.arg(house.join("tests/browser/pocket.mjs")).arg(folder.path());
    let done = node.arg(house.join("src/fronts/web/assets/wasi.js")).output().expect("node, which tests/run installs");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let out: Value = serde_json::from_slice(&done.stdout).unwrap();
    println!(
        "module: {} bytes, {} packed; compiled in {:.0} ms, a line answered in {:.1} ms",
        out["size"],
        module.body.len(),
        out["compiled"].as_f64().unwrap(),
        out["median"].as_f64().unwrap()
    );
    let (mut unlike, mut apart) = (Vec::new(), 0);
    for (line, answer) in lines.iter().zip(out["answers"].as_array().unwrap()) {
        let there = post(&shop, "/line", &own, &format!("key=k&line={}", coded(line))).await;
        let (there, here) = (bare(&there.text()), bare(answer["body"].as_str().unwrap()));
        // What a phone does not carry it says so of; a question it answers by headings.
        let elsewhere = here.contains("server keeps this and cannot be reached") && there.contains("There is no");
        if here.contains("full search needs") || elsewhere {
            apart += 1;
        } else if there != here {
            let at = there.bytes().zip(here.bytes()).take_while(|(a, b)| a == b).count().saturating_sub(60);
            let near = |text: &str| text.bytes().skip(at).take(200).map(char::from).collect::<String>();
            unlike.push(format!("{line}\n  server: {}\n  phone:  {}", near(&there), near(&here)));
        }
        assert!(answer["told"]["hold"].is_null(), "{line} is held");
    }
    assert!(apart < lines.len() / 20, "{apart} of {} are not answered", lines.len());
    assert!(unlike.is_empty(), "{} of {} differ:\n{}", unlike.len(), lines.len(), unlike.join("\n"));
}

#[tokio::test]
async fn a_phone_says_its_part_rightly_or_nothing_is_posted() {
    let shop = serve(|_| {}).await;
    let cookie = ticket(&shop).await;
    let before = shop.desk.fingerprint().unwrap();
    let said = |held: &str| {
        let body = format!("key=k&line={}", coded("log main-journal 3 2.4495in 2.4493in job=1"));
        let (held, cookie) = (held.to_owned(), cookie.clone());
        let shop = &shop;
        async move { post(shop, "/line", &[("Cookie", &cookie), ("X-Card", "1"), ("X-Held", &held)], &body).await }
    };
    assert_eq!(said("nonsense").await.status, 400);
    let whole = json!({ "taken": 0, "sent": 0, "phone": "a1", "person": "lead", "job": 1, "seen": 0, "judged": null });
    assert_eq!(said(&whole.to_string()).await.status, 401, "what the lead held is not posted by the tech");
    assert_eq!(shop.desk.fingerprint().unwrap(), before);
    assert_eq!(ask(shop.address, "GET", "/carried/record", &[("X-Card", "1")], "").await.status, 401);
}

/// Waits until the phone carries the shop, so that the server may go.
async fn carried(screen: &Screen) {
    let script = "
        const done = arguments[arguments.length - 1];
        const look = () => {
            const asked = indexedDB.open('gudgeon');
            asked.onsuccess = () => {
                const base = asked.result;
                if (!navigator.serviceWorker.controller || !base.objectStoreNames.contains('carried')) {
                    base.close();
                    return setTimeout(look, 100);
                }
                const got = base.transaction('carried').objectStore('carried').getAllKeys();
                got.onsuccess = () => {
                    base.close();
                    if (got.result.includes('record') && got.result.includes('shelf')) done(true);
                    else setTimeout(look, 100);
                };
            };
            asked.onupgradeneeded = () => asked.transaction.abort();
            asked.onerror = () => setTimeout(look, 100);
        };
        navigator.serviceWorker.ready.then(look);
    ";
    assert_eq!(screen.later(script).await, true);
}

/// The readings of the record, as any phone is told of them: newest last.
async fn readings(shop: &Served) -> Vec<Value> {
    let cookie = ticket(shop).await;
    let answer = ask(shop.address, "GET", "/carried/record", &[("Cookie", &cookie)], "").await;
    let carried: Value = serde_json::from_slice(&unpacked(&answer)).unwrap();
    let events = carried["record"]["events"].as_array().unwrap().clone();
    events.into_iter().filter(|event| event["what"]["kind"] == "reading").collect()
}

/// What the line about the server lies over: of a page at its top, and of a heading that was gone to.
const LAID_OVER: &str = "
    const line = document.querySelector('.reach').getBoundingClientRect();
    if (line.height > 56) return 'it is ' + line.height + ' high';
    const covered = (e) => e.getBoundingClientRect().top < line.bottom - 1 && e.getBoundingClientRect().bottom > line.top + 1;
    if (scrollY === 0 && covered(document.querySelector('main'))) return 'the page';
    const headings = Array.from(document.querySelectorAll('main h2, main h3')).filter((e) => e.checkVisibility());
    const heading = headings[Math.floor(headings.length / 2)];
    heading?.scrollIntoView({ block: 'start', behavior: 'instant' });
    const over = heading && covered(heading) ? heading.textContent : null;
    scrollTo({ top: 0, behavior: 'instant' });
    return over;";

fn places() -> Vec<(String, String)> {
    let each = (1..=5).flat_map(|cylinder| ["top", "second"].map(|ring| format!("{cylinder} {ring}")));
    each.enumerate().map(|(at, place)| (place, format!("0.0{}in", 185 + at))).collect()
}

#[test]
#[cfg_attr(not(pocket), ignore = "built without the phone's module: GUDGEON_POCKET=1, as tests/run has it")]
fn ten_readings_outlive_an_empty_battery_and_are_posted_once_in_order() {
    let runtime = Runtime::new().unwrap();
    let shop = Arc::new(runtime.block_on(serve(|_| {})));
    let profile = Arc::new(tempfile::tempdir().unwrap());
    let before = runtime.block_on(readings(&shop));
    let sum = "ring gap 4.030in marine";
    on_phone(&profile, &shop, async |screen| {
        screen.goto("/door").await;
        screen.be(PERSON).await;
        carried(screen).await;
        screen.say(sum).await;
        let online = screen.text(&format!("{LAST} .card")).await;
        shop.stop().await;

        screen.say(sum).await;
        assert_eq!(screen.text(&format!("{LAST} .card")).await, online, "the same words");
        screen.say("page ring-end-gap").await;
        assert!(screen.text(&format!("{LAST} .card")).await.contains("feeler"), "the page can be read");
        screen.say("how do I measure ring end gap").await;
        assert!(screen.text(&format!("{LAST} .card")).await.contains("full search needs"), "and searched by heading");
        for (place, gap) in places() {
            screen.say(&format!("log ring-gap {place} {gap} job=1")).await;
            let card = screen.text(&format!("{LAST} .card")).await;
            assert!(card.contains("held on this phone"), "{card}");
        }
        screen.say("job open dunlin-six Another").await;
        assert!(screen.text(&format!("{LAST} .card")).await.contains("server"), "what needs the server is refused");
        assert_eq!(screen.text(".reach-word").await, "No server: 10 held here");
        for (name, path) in [("talk", "/"), ("job", "/job/1"), ("library", "/library"), ("jobs", "/jobs")] {
            screen.goto(path).await;
            screen
                .wait_for("return document.querySelector('.reach-word').innerText === 'No server: 10 held here'")
                .await;
            assert_eq!(screen.eval(LAID_OVER).await, Value::Null, "on {name}");
            screen.shot(&format!("offline-held-{name}")).await;
        }
        screen.press(".reach-word").await;
        screen.wait(".held-list li:nth-child(10)").await;
        screen.shot("offline-held").await;
    });
    on_phone(&profile, &shop, async |screen| {
        screen.goto("/").await;
        screen.wait(".held-list li:nth-child(10)").await;
        shop.start().await;
        // The sign-in of the last half minute may have gone with the battery.
        screen.be(PERSON).await;
        screen.second_tab("/").await;
        // Known by the record alone: the bar is hidden too while the page has not yet been told what is held.
        for _ in 0..120 {
            if readings(&shop).await.len() >= before.len() + places().len() {
                break;
            }
            tokio::time::sleep(Duration::from_millis(500)).await;
        }
        screen.wait(".reach[hidden]").await;
    });
    let after = runtime.block_on(readings(&shop));
    let new = &after[before.len()..];
    let told: Vec<(&str, &str)> =
        new.iter().map(|e| (e["what"]["position"].as_str().unwrap(), e["what"]["typed"].as_str().unwrap())).collect();
    let wanted = places();
    let wanted: Vec<(&str, &str)> = wanted.iter().map(|(place, gap)| (place.as_str(), gap.as_str())).collect();
    assert_eq!(told, wanted, "each once, in order");
    let moments: Vec<&str> = new.iter().map(|e| e["what"]["taken"]["at"].as_str().unwrap()).collect();
    assert!(moments.is_sorted(), "{moments:?}");
    let first: jiff::Timestamp = moments[0].parse().unwrap();
    let arrived: jiff::Timestamp = new[0]["when"].as_str().unwrap().parse().unwrap();
    assert!(arrived.duration_since(first).as_secs() >= 1, "taken {first}, arrived {arrived}");
}

#[test]
#[cfg_attr(not(pocket), ignore = "built without the phone's module: GUDGEON_POCKET=1, as tests/run has it")]
fn what_changed_meanwhile_is_asked_about() {
    let runtime = Runtime::new().unwrap();
    let shop = Arc::new(runtime.block_on(serve(|_| {})));
    let profile = Arc::new(tempfile::tempdir().unwrap());
    let elsewhere = |line: &str| {
        let outcome = shop.desk.answer(&Asker::new("lead", Front::Terminal), line, clock());
        assert!(matches!(outcome, Outcome::Reply(_)), "{line}: {outcome:?}");
    };
    on_phone(&profile, &shop, async |screen| {
        screen.goto("/door").await;
        screen.be(PERSON).await;
        carried(screen).await;
        shop.stop().await;
        for line in ["log ring-gap 1 top 0.0185in job=1", "log ring-gap 1 second 0.0195in job=1"] {
            screen.say(line).await;
        }
        elsewhere("log ring-gap 1 top 0.0200in job=1");
        let there = shop.desk.fingerprint().unwrap();
        shop.start().await;
        screen.wait(".reach.asks").await;
        screen.press(".reach-word").await;
        screen.wait(".held-list li.asks:only-child").await;
        assert!(screen.text(".held-list li").await.contains("posted at this place"), "it says what happened");
        assert_ne!(shop.desk.fingerprint().unwrap(), there, "the other one is posted");
        let asked = readings(&shop).await;
        screen.shot("offline-asks").await;
        screen.press(".held-list .primary").await;
        screen.wait(".reach[hidden]").await;
        let after = readings(&shop).await;
        assert_eq!(after.len(), asked.len() + 1);
        let at_place = after.iter().filter(|e| e["what"]["check"] == "ring-gap" && e["what"]["position"] == "1 top");
        let typed: Vec<&str> = at_place.map(|e| e["what"]["typed"].as_str().unwrap()).collect();
        assert_eq!(typed[typed.len() - 2..], ["0.0200in", "0.0185in"], "both stay");
    });
}

#[test]
#[cfg_attr(not(pocket), ignore = "built without the phone's module: GUDGEON_POCKET=1, as tests/run has it")]
fn a_reading_waits_for_its_photograph_unless_it_is_told_to_go_without() {
    let runtime = Runtime::new().unwrap();
    let shop = Arc::new(runtime.block_on(serve(|_| {})));
    let profile = Arc::new(tempfile::tempdir().unwrap());
    let before = runtime.block_on(readings(&shop));
    let picture = profile.path().join("crank.jpg");
    std::fs::write(&picture, pictures::jpeg(900, 700, 4)).unwrap();
    on_phone(&profile, &shop, async |screen| {
        screen.goto("/door").await;
        screen.be(PERSON).await;
        carried(screen).await;
        let choose = async || {
            let camera = screen.wait("#form .camera input[type=file]").await;
            camera.send_keys(picture.to_str().unwrap()).await.unwrap();
        };
        screen.goto("/form?line=log+main-journal+3+job%3D1").await;
        for (at, value) in ["2.4495", "2.4493", "2.4494", "2.4494"].iter().enumerate() {
            screen.fill(&format!("#form .boxes label:nth-child({}) input", at + 1), value).await;
        }
        choose().await;
        screen.wait("#form .shots [data-state=ready]").await;
        shop.stop().await;
        // One that went ahead before the server went.
        screen.press("#form > .send-row .primary").await;
        screen.wait("#form .shots [data-state=failed]").await;
        assert!(screen.text("#form .shots li span").await.contains("needs the shop’s server"));
        assert!(screen.text(&format!("{LAST}.refused .card")).await.contains("post without it"));
        // And one that is taken after that.
        choose().await;
        screen.wait("#form .shots [data-state=failed]:nth-child(2)").await;
        screen.press("#form > .send-row .primary").await;
        assert_eq!(screen.count(".held-list li").await, 0, "nothing goes without it untold");
        screen.eval("document.querySelector('#form .without').scrollIntoView({block: 'center'})").await;
        screen.shot("offline-photograph").await;
        screen.press("#form .without button").await;
        screen.wait(".held-list li:only-child").await;
        assert!(screen.text(&format!("{LAST} .card")).await.contains("held on this phone"));
        assert_eq!(screen.count("#form .shots li").await, 0);
        shop.start().await;
        screen.wait(".reach[hidden]").await;
    });
    let after = runtime.block_on(readings(&shop));
    let typed: Vec<&str> = after[before.len()..].iter().map(|e| e["what"]["typed"].as_str().unwrap()).collect();
    assert_eq!(typed, ["2.4495 2.4493 2.4494 2.4494"]);
}

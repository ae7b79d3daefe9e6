//! A day of sixty people on the chat, and the same day said in the terminal: the two records hold the same. On the chat many
//! speak at once, connections drop and interactions come twice.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use gudgeon::desk::{Asker, Desk, Front, Outcome, Role};
use gudgeon::record::{Record, quietly};
use serde_json::{Value, json};

use super::events::{self, Person};
use super::everything::options;
use super::gateway::Order;
use super::server::Server;
use super::shop::Shop;
use crate::talks;

const PEOPLE: usize = 60;
const JOBS: u64 = 6;
/// Hours of the day: in each many speak at once, and the next begins when all were answered.
const HOURS: usize = 8;
const AT_ONCE: usize = 30;

/// Numbers that are the same on every run.
struct Dice(u64);

impl Dice {
    fn upto(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most as u64) as usize
    }
}

/// What someone says. A reading is named by which of the day it is, for its number differs with the order.
#[derive(Debug, Clone)]
enum Says {
    Log(String),
    Amend(usize),
    Accept(usize),
    Return(usize),
    Other(&'static str),
}

struct Act {
    who: usize,
    says: Says,
}

impl Act {
    /// The line, with the numbers of the readings so far.
    fn line(&self, readings: &[String]) -> String {
        match &self.says {
            Says::Log(line) => line.clone(),
            Says::Amend(which) => format!("amend {} 2.4497in 2.4496in reason=\"read again\"", readings[*which]),
            Says::Accept(which) => format!("review accept {}", readings[*which]),
            Says::Return(which) => format!("review return {} measure again", readings[*which]),
            Says::Other(line) => (*line).to_owned(),
        }
    }
}

/// Four leads, thirty-six techs, and twenty who learn.
fn role(who: usize) -> Role {
    match who {
        0..4 => Role::Lead,
        4..40 => Role::Tech,
        _ => Role::Apprentice,
    }
}

fn name(who: usize) -> String {
    format!("hand-{who:02}")
}

/// The day, hour by hour. Within an hour no one's words bear on another's.
fn day() -> Vec<Vec<Act>> {
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let others = [
        "convert 4.030in mm",
        "ring gap 4.030in marine",
        "ask how much crank end float",
        "convert 4.030 mm",
        "review queue",
    ];
    // Who posted each reading of the day; those of hours gone that nobody came back to.
    let (mut posters, mut open): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
    let mut hours = Vec::new();
    for _ in 0..HOURS {
        let mut places: Vec<(u64, usize)> =
            (2..JOBS + 2).flat_map(|job| (1..=5).map(move |place| (job, place))).collect();
        let (mut acts, mut fresh) = (Vec::new(), Vec::new());
        while acts.len() < AT_ONCE {
            let who = dice.upto(PEOPLE);
            let mine = |which: &usize| posters[*which] == who;
            let says = match dice.upto(10) {
                0..5 if !places.is_empty() => {
                    let (job, place) = places.swap_remove(dice.upto(places.len()));
                    let low = 2.4494 + dice.upto(6) as f64 * 0.0001;
                    fresh.push((acts.len(), who));
                    Says::Log(format!("log main-journal {place} {low:.4}in {:.4}in job={job}", low + 0.0001))
                }
                5 if role(who) == Role::Lead && !open.is_empty() => {
                    let which = open.swap_remove(dice.upto(open.len()));
                    if posters[which] == who {
                        continue;
                    }
                    Says::Return(which)
                }
                6 if role(who) == Role::Lead && !open.is_empty() => {
                    let which = open.swap_remove(dice.upto(open.len()));
                    if posters[which] == who {
                        continue;
                    }
                    Says::Accept(which)
                }
                7 if open.iter().any(mine) && role(who) != Role::Apprentice => {
                    let at = open.iter().position(mine).unwrap();
                    Says::Amend(open.swap_remove(at))
                }
                _ => Says::Other(others[dice.upto(others.len())]),
            };
            acts.push(Act { who, says });
        }
        for (_, who) in fresh {
            open.push(posters.len());
            posters.push(who);
        }
        hours.push(acts);
    }
    hours
}

/// The number of a posted reading, out of what the answer offers.
fn number(offers: impl Iterator<Item = String>) -> Option<String> {
    offers.filter_map(|line| line.rsplit_once("photo ").map(|(_, number)| number.to_owned())).next()
}

fn open(folder: &Path) -> Desk {
    let desk = talks::bench_over(Record::open(&folder.join("record.sqlite")).unwrap());
    for job in 1..=JOBS + 1 {
        let asker = Asker { role: Some(Role::Lead), ..Asker::new("lead", Front::Terminal) };
        let line = format!("job open skerry-v8 boat {job}");
        assert!(matches!(desk.answer(&asker, &line, talks::clock()), Outcome::Reply(_)));
    }
    desk
}

/// Every event as what it says, whatever its number, hour and key; in an order of its own.
fn told(folder: &Path) -> Vec<String> {
    let file = folder.join("export.jsonl");
    Record::open(&folder.join("record.sqlite")).unwrap().export(&file, &quietly).unwrap();
    let text = std::fs::read_to_string(file).unwrap();
    let events: Vec<Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .filter(|line: &Value| line["line"] == "event")
        .collect();
    let mut told: Vec<String> = Vec::new();
    for event in &events {
        let mut payload: Value = serde_json::from_str(event["payload"].as_str().unwrap()).unwrap();
        // A reading is named by what it is: its number is one of the order.
        let named = |number: &Value| told.get(number.as_u64().unwrap() as usize - 1).cloned();
        for place in ["/reading", "/amends/reading", "/measured/amends/reading"] {
            if let Some(number) = payload.pointer(place).filter(|number| number.is_u64()).and_then(named) {
                *payload.pointer_mut(place).unwrap() = json!(number);
            }
        }
        told.push(format!("{} {} {payload}", event["person"], event["role"]));
    }
    told.sort();
    told
}

#[test]
fn sixty_people_s_day_on_the_chat_is_the_day_said_in_the_terminal() {
    let (chat, terminal) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let hours = day();
    let server = Server::start();
    // As the platform asks for it: a busy machine that is late with one would begin a new session, and lose what came meanwhile.
    server.shared.session().heartbeat = Duration::from_secs(41);
    let shop = Shop::over(Arc::new(open(chat.path())), server, |_, _| {});
    shop.server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
    let people: Vec<Person> = (0..PEOPLE)
        .map(|who| {
            let roles: &'static [&'static str] = match role(who) {
                Role::Lead => &["11"],
                Role::Tech => &["12"],
                _ => &[],
            };
            Person { name: Box::leak(name(who).into_boxed_str()), roles }
        })
        .collect();
    let mut readings: Vec<String> = Vec::new();
    let mut answered = 0;
    for (hour, acts) in hours.iter().enumerate() {
        let mut sent = Vec::new();
        for (turn, act) in acts.iter().enumerate() {
            // The line drops in the middle of some hours, by FIN and by RST.
            if turn == AT_ONCE / 2 && hour % 3 < 2 {
                let order = if hour % 3 == 0 { Order::Fin } else { Order::Rst };
                shop.server.shared.session().order(order);
            }
            let (words, options) = options(&shop.desk, &act.line(&readings));
            let id = shop.server.new_id();
            let event = events::slash(id, people[act.who], &words, options);
            for _ in 0..if turn % 5 == 0 { 2 } else { 1 } {
                shop.server.event("INTERACTION_CREATE", event.clone());
            }
            sent.push(id);
        }
        for (id, act) in sent.iter().zip(acts) {
            let call = shop.answer(*id);
            answered += 1;
            if matches!(act.says, Says::Log(_)) {
                let ids = super::shop::buttons(&call).into_iter().map(|(_, id)| id);
                readings.push(number(ids).unwrap_or_else(|| panic!("{}", super::shop::shown(&call))));
            }
        }
        assert!(sent.iter().all(|id| shop.server.count("POST", &format!("/interactions/{id}/")) == 1), "each once");
    }
    assert_eq!(answered, HOURS * AT_ONCE);
    shop.running.stop();

    let desk = open(terminal.path());
    let mut numbers: Vec<String> = Vec::new();
    for act in hours.iter().flatten() {
        let asker = Asker { role: Some(role(act.who)), ..Asker::new(name(act.who), Front::Terminal) };
        let outcome = desk.answer(&asker, &act.line(&numbers), talks::clock());
        if let (Says::Log(line), Outcome::Reply(reply)) = (&act.says, &outcome) {
            let offered = reply.actions.iter().map(|action| action.line.clone());
            numbers.push(number(offered).unwrap_or_else(|| panic!("{line}: {reply:?}")));
        }
    }
    assert_eq!(numbers.len(), readings.len());
    let (said, typed) = (told(chat.path()), told(terminal.path()));
    assert!(said.len() > HOURS * AT_ONCE / 4, "{} events", said.len());
    let only = |these: &[String], those: &[String]| {
        these.iter().filter(|one| !those.contains(one)).cloned().collect::<Vec<_>>()
    };
    assert_eq!(
        said,
        typed,
        "only on the chat: {:#?}; only in the terminal: {:#?}",
        only(&said, &typed),
        only(&typed, &said)
    );
}

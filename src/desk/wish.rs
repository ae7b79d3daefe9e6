//! What a whole sentence wishes that is no question for the library: the next thing to do, or to post a reading. One word that
//! belongs to neither, and it is a question after all.

use super::Context;
use super::commands::log::check_and_rest;
use super::posting::position;
use super::reply::{Action, Block, Reply};
use super::trouble::Trouble;
use super::walk::Walk;
use crate::record::{Job, JobFilter};

/// Words that may stand around `next`.
const AROUND_NEXT: &[&str] = &[
    "a",
    "and",
    "are",
    "be",
    "bench",
    "carry",
    "check",
    "comes",
    "continue",
    "do",
    "does",
    "for",
    "go",
    "going",
    "have",
    "how",
    "i",
    "is",
    "it",
    "job",
    "keep",
    "let",
    "lets",
    "me",
    "measure",
    "measurement",
    "my",
    "need",
    "next",
    "now",
    "of",
    "ok",
    "okay",
    "on",
    "one",
    "our",
    "place",
    "please",
    "reading",
    "shall",
    "should",
    "show",
    "so",
    "step",
    "supposed",
    "task",
    "the",
    "then",
    "thing",
    "this",
    "to",
    "today",
    "up",
    "us",
    "we",
    "what",
    "whats",
    "which",
    "with",
];
/// Words that may stand around `post a reading`.
const AROUND_POSTING: &[&str] = &[
    "a", "an", "another", "can", "could", "do", "for", "have", "here", "how", "i", "id", "in", "it", "let", "like",
    "me", "my", "need", "new", "of", "on", "one", "please", "shall", "should", "some", "the", "to", "want", "we",
    "where", "would",
];
const POSTS: &[&str] = &["post", "log", "enter", "record"];
const POSTED: &[&str] = &["reading", "readings", "measurement", "measurements"];
/// A wish is short.
const LONGEST: usize = 16;
/// Jobs offered where several may be meant.
const OFFERED: usize = 5;

pub enum Wish {
    /// What is next on that job.
    Next(Box<Job>),
    /// The same, of one of these.
    Which(Vec<Job>),
    /// A reading is to be posted: of this check and place, as far as they are said.
    Post(Vec<String>),
}

impl Context<'_> {
    /// Whether it is one; what went wrong in finding out shows when it is granted.
    pub fn wishes(&self, text: &str) -> bool {
        !matches!(self.wish(text), Ok(None))
    }

    pub fn wish(&self, text: &str) -> Result<Option<Wish>, Trouble> {
        let words: Vec<String> = text.split_whitespace().map(plain).filter(|word| !word.is_empty()).collect();
        if words.len() > LONGEST {
            return Ok(None);
        }
        if asks_next(&words) {
            return self.next_meant(&left(&words, AROUND_NEXT));
        }
        let said = |list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
        if !(said(POSTS) && said(POSTED)) {
            return Ok(None);
        }
        let rest = left(&left(&left(&words, POSTS), POSTED), AROUND_POSTING);
        Ok(self.place_said(&rest).map(Wish::Post))
    }

    /// The job that the words left over name, the current one, the only one.
    fn next_meant(&self, rest: &[String]) -> Result<Option<Wish>, Trouble> {
        let mut open = self.desk.record.jobs(JobFilter::Open)?;
        open.retain(|job| rest.iter().all(|word| self.job_words(job).any(|own| own == *word)));
        let current = self.job.as_ref().and_then(|job| open.iter().position(|other| other.id == job.id));
        Ok(match (current, open.len()) {
            (None, 0) if !rest.is_empty() => None,
            (Some(at), _) => Some(Wish::Next(Box::new(open.swap_remove(at)))),
            (None, 1) => Some(Wish::Next(Box::new(open.swap_remove(0)))),
            (None, _) => Some(Wish::Which(open)),
        })
    }

    fn job_words(&self, job: &Job) -> impl Iterator<Item = String> {
        let engine = self.library.engine(&job.engine).map(|engine| engine.title.clone()).unwrap_or_default();
        let all = format!("{} {} {} {engine}", job.id.0, job.title, job.engine);
        all.split(' ').map(plain).collect::<Vec<_>>().into_iter()
    }

    /// The words of a line about this check and place; none where the words are something else.
    fn place_said(&self, rest: &[String]) -> Option<Vec<String>> {
        if rest.is_empty() {
            return Some(Vec::new());
        }
        let (check, place) = check_and_rest(self, rest).ok()?;
        if place.is_empty() {
            return Some(vec![check.id.to_owned()]);
        }
        let engine = self.at_hand().ok()?.and_then(|job| self.library.engine(&job.engine));
        let place = place.join(" ");
        position(engine?, check, &place).ok()?;
        Some(vec![check.id.to_owned(), super::line::quoted(&place)])
    }

    /// The job that is meant where none is named: the current one, else the only one.
    fn at_hand(&self) -> Result<Option<Job>, Trouble> {
        if self.job.is_some() {
            return Ok(self.job.clone());
        }
        let mut open = self.desk.record.jobs(JobFilter::Open)?;
        Ok(if open.len() == 1 { open.pop() } else { None })
    }

    pub fn granted(&self, wish: &Wish) -> Result<Reply, Trouble> {
        match wish {
            Wish::Next(job) => {
                let taken = format!("Taken as: next job={} ({}).", job.id.0, job.title);
                Ok(Walk::new(self, job)?.next(None)?.text(taken))
            }
            Wish::Which(jobs) if jobs.is_empty() => Ok(Reply::new("No job is open")
                .text("What is next is told of a job: its engine says what there is to measure.")
                .action(Action::form("Open a job", "job open"))),
            Wish::Which(jobs) => {
                let reply = Reply::new(format!("Next on which job? {} are open", jobs.len()));
                let named = |job: &Job| format!("{}, {} ({})", job.id, job.title, job.engine);
                let reply = reply.block(Block::Bullets(jobs.iter().map(named).collect()));
                Ok(jobs.iter().take(OFFERED).fold(reply, |reply, job| reply.action(next_on(job))))
            }
            Wish::Post(said) => {
                let job = self.at_hand()?;
                let on = job.as_ref().map_or(String::new(), |job| format!(" job={}", job.id.0));
                let line =
                    std::iter::once("log").chain(said.iter().map(String::as_str)).collect::<Vec<_>>().join(" ") + &on;
                let example = self.desk.form("log").map_or("", |form| form.example.as_str());
                let as_line = format!("As a line: {example}. It waits for the lead.");
                let name =
                    |check: &str| self.library.plan().check(check).map_or(check.to_owned(), |c| c.name.to_owned());
                let reply = match said.as_slice() {
                    [check, place] => {
                        let place = format!("{} {}", name(check), place.replace('"', ""));
                        Reply::new(format!("{place}: only what you read is wanting"))
                            .text("It goes on record under your name, and waits for the lead.")
                            .action(Action::entry(format!("Post {place}"), line))
                    }
                    [check] => Reply::new(format!("Post {}: say where, and what you read", name(check)))
                        .text(as_line)
                        .action(Action::form(format!("Post {}", name(check)), line)),
                    _ => Reply::new("Post a reading: say the check, where, and what you read")
                        .text(as_line)
                        .action(Action::form("Post a reading", line)),
                };
                Ok(job.iter().fold(reply, |reply, job| reply.action(next_on(job))))
            }
        }
    }

    /// Where to go from an answer that is none.
    pub fn ways_on(&self) -> Result<Vec<Action>, Trouble> {
        let job = self.at_hand()?;
        let next = job.as_ref().map_or_else(|| Action::send("The open jobs", "job list"), next_on);
        let log = job.map_or("log".to_owned(), |job| format!("log job={}", job.id.0));
        Ok(vec![
            next,
            Action::form("Post a reading", log),
            Action::send("The library's contents, by stage", "procedure"),
        ])
    }
}

fn next_on(job: &Job) -> Action {
    Action::send(format!("What is next on {}", job.title), format!("next {}", job.id.0))
}

/// The whole sentence may ask for the next thing.
fn asks_next(words: &[String]) -> bool {
    let said = |word: &str| words.iter().any(|other| other == word);
    let pair = |one: &str, two: &str| words.windows(2).any(|pair| pair[0] == one && pair[1] == two);
    let now = said("now") && (said("what") || said("whats"));
    said("next") || now || said("continue") || pair("carry", "on") || pair("go", "on") || pair("keep", "going")
}

fn left(words: &[String], without: &[&str]) -> Vec<String> {
    words.iter().filter(|word| !without.contains(&word.as_str())).cloned().collect()
}

/// A word as it is compared: small letters, no marks.
fn plain(word: &str) -> String {
    let kept = |c: &char| c.is_alphanumeric() || matches!(c, '-' | '.');
    word.to_lowercase().chars().filter(kept).collect::<String>().trim_matches(['-', '.']).to_owned()
}

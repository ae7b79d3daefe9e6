//! The one definition of every command, and the reading of a line against it.

use std::error::Error as _;

use clap::FromArgMatches;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::commands::{Command, Line};
use super::filling::{Assigned, assign, named};
use super::form::{Form, Kind};
use super::trouble::Refusal;
use super::{line, posted};
use crate::quantity::looks_numeric;

/// A command and what was given to it, by the id of the field.
#[derive(Debug, Clone)]
pub struct Request<'t> {
    pub form: &'t Form,
    pub given: Given,
    /// The whole line, where it also reads as a question.
    pub sentence: Option<String>,
}

pub type Given = Vec<(String, String)>;

/// What a line turned out to be.
#[derive(Debug)]
pub enum Meant<'t> {
    Request(Request<'t>),
    /// Words for the library; `near` names the command the line began like.
    Question {
        text: String,
        near: Option<String>,
    },
    /// Help for a command, a family, or (with no words) for everything.
    Help(String),
}

/// The clap tree, ready to read lines.
pub struct Tree {
    forms: Vec<Form>,
    parser: clap::Command,
}

impl Default for Tree {
    fn default() -> Self {
        Self::new()
    }
}

impl Tree {
    pub fn new() -> Self {
        let natural = posted::with_job(Line::command());
        let forms = Form::all(&natural);
        let parser = natural.mut_subcommands(|family| {
            let family = name_positionals(family);
            family.mut_subcommands(name_positionals)
        });
        Self { forms, parser }
    }

    pub fn forms(&self) -> &[Form] {
        &self.forms
    }

    /// The command these words name exactly.
    pub fn form(&self, words: &str) -> Option<&Form> {
        self.forms.iter().find(|f| f.words() == words)
    }

    /// What `text` means: a command, a question, a wish for help, or a refusal that names the input at fault.
    pub fn read(&self, text: &str) -> Result<Meant<'_>, Refusal> {
        let text = line::tidy(text)?;
        let tokens = line::split(&text);
        let Some(first) = tokens.first() else {
            return Err(Refusal::new(
                "line",
                "",
                "Ask a question, or type help for what can be worked out and posted.",
            ));
        };
        let family = first.to_lowercase();
        if matches!(family.as_str(), "help" | "--help" | "?") {
            let words = tokens[1..].join(" ").to_lowercase();
            let known = words.is_empty() || self.forms.iter().any(|f| f.words() == words || f.family == words);
            return Ok(if known { Meant::Help(words) } else { Meant::Question { text, near: None } });
        }
        // `ring-gap 4.030in` is meant as it sounds.
        if let Some((family, verb)) = family.split_once('-')
            && self.forms.iter().any(|f| f.family == family && f.verb.as_deref() == Some(verb))
        {
            return self.read(&format!("{family} {verb} {}", text.split_once(' ').map_or("", |(_, rest)| rest)));
        }
        let verbs: Vec<&Form> = self.forms.iter().filter(|f| f.family == family).collect();
        let (form, rest) = match verbs.as_slice() {
            [] => return self.stray(&family, &tokens, text),
            [only] if only.verb.is_none() => (*only, &tokens[1..]),
            several => {
                let usual = several.iter().find(|f| f.usual);
                let second = tokens.get(1).map(|t| t.to_lowercase()).unwrap_or_default();
                if matches!(second.as_str(), "--help" | "?" | "help") || (second.is_empty() && usual.is_none()) {
                    return Ok(Meant::Help(family));
                }
                match several.iter().find(|f| f.verb.as_deref() == Some(second.as_str())).or(usual) {
                    Some(form) if form.verb.as_deref() == Some(second.as_str()) => (*form, &tokens[2..]),
                    Some(form) => (*form, &tokens[1..]),
                    None if in_words(&tokens[1..]) => return Ok(Meant::Question { text, near: Some(family) }),
                    None => {
                        let known: Vec<&str> = several.iter().filter_map(|f| f.verb.as_deref()).collect();
                        return Err(unknown(&family, &second, &known));
                    }
                }
            }
        };
        if rest.iter().any(|t| matches!(t.as_str(), "--help" | "?")) {
            return Ok(Meant::Help(form.words()));
        }
        let sentence = (!rest.is_empty() && in_words(rest)).then_some(text);
        let Assigned { given, fault } = assign(form, rest);
        match (fault, sentence) {
            (None, sentence) => {
                let given = given.into_iter().map(|(id, value)| (id.to_owned(), value)).collect();
                Ok(Meant::Request(Request { form, given, sentence }))
            }
            (Some(_), Some(text)) => Ok(Meant::Question { text, near: Some(form.words()) }),
            (Some(refusal), None) => Err(refusal),
        }
    }

    /// A line that begins with no command: a question, unless it carries values and begins nearly like one.
    fn stray(&self, first: &str, tokens: &[String], text: String) -> Result<Meant<'_>, Refusal> {
        let like = |form: &&Form| likeness(first, &form.family);
        let near = self.forms.iter().max_by(|a, b| like(a).total_cmp(&like(b))).filter(|form| like(form) >= LIKE);
        // `can i go 60 over` goes on as no command does.
        let goes_on = |form: &Form| {
            let second = tokens.get(1).map(|token| token.to_lowercase());
            let mut family = self.forms.iter().filter(|f| f.family == form.family);
            family.any(|f| f.verb == second || ((f.usual || f.verb.is_none()) && !more_words(&tokens[1..])))
        };
        match near {
            Some(form) if !in_words(&tokens[1..]) && goes_on(form) => {
                let possible = format!("Nothing was done. Did you mean {}?", form.family);
                let mut refusal = Refusal::new("command", first, possible);
                refusal.line = Some(format!("{} {}", form.family, tokens[1..].join(" ")));
                Err(refusal)
            }
            Some(form) if tokens.len() == 1 => Ok(Meant::Help(form.family.clone())),
            _ => Ok(Meant::Question { text, near: None }),
        }
    }

    /// The command with these values, or a refusal that names the one at fault.
    pub fn command(&self, form: &Form, given: &[(String, String)]) -> Result<Command, Refusal> {
        if let Some(missing) = form.fields.iter().find(|f| f.needed && !given.iter().any(|(id, _)| *id == f.id)) {
            let or_job = if missing.required { "" } else { " Or job=NUMBER takes it from what is posted." };
            let possible = format!("{} Write: {}{or_job}", missing.wanted(), form.example);
            let mut refusal = Refusal::new(&missing.id, "", possible);
            refusal.line = Some(format!("help {}", form.words()));
            return Err(refusal);
        }
        let mut argv: Vec<String> = vec![form.family.clone()];
        argv.extend(form.verb.clone());
        for (id, value) in given {
            let flag = form.field(id).is_some_and(|f| f.kind == Kind::Flag);
            argv.push(if flag { format!("--{id}") } else { format!("--{id}={value}") });
        }
        self.parser
            .clone()
            .try_get_matches_from(argv)
            .and_then(|matches| Line::from_arg_matches(&matches))
            .map(|line| line.command)
            .map_err(|error| refusal_of(form, &error))
    }
}

/// Every positional also answers to its name, so that `bore=4.030in` and a bare `4.030in` are one argument, and a
/// negative number is never taken for an option.
fn name_positionals(command: clap::Command) -> clap::Command {
    command.mut_args(|arg| {
        let name = arg.get_id().as_str().replace('_', "-");
        // A phone begins a line with a capital.
        let takes_value = !matches!(arg.get_action(), clap::ArgAction::SetTrue);
        let arg = if takes_value { arg.ignore_case(true) } else { arg };
        if arg.get_long().is_none() { arg.long(name) } else { arg }
    })
}

/// True when what follows a command word reads as a sentence rather than as values.
fn in_words(tokens: &[String]) -> bool {
    let (words, values) = words_and_values(tokens);
    values == 0 || (words >= 3 && words > values)
}

/// True when it has at least two words, and no more values than that.
fn more_words(tokens: &[String]) -> bool {
    let (words, values) = words_and_values(tokens);
    words >= 2 && words >= values
}

fn words_and_values(tokens: &[String]) -> (usize, usize) {
    let values = tokens.iter().filter(|t| looks_numeric(t) || named(t).is_some()).count();
    (tokens.len() - values, values)
}

/// So like a name is a slip of it.
const LIKE: f64 = 0.6;

fn likeness(one: &str, other: &str) -> f64 {
    strsim::normalized_damerau_levenshtein(&one.to_lowercase(), &other.to_lowercase())
}

/// A list longer than this is not read on a phone: then only the names most like the one given are said.
const LISTED: usize = 16;

/// A refusal for a name that is not one of `known`, with the nearest first.
pub fn unknown(input: &str, given: &str, known: &[&str]) -> Refusal {
    let mut near: Vec<(f64, &str)> = known.iter().map(|name| (likeness(given, name), *name)).collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0)); // stable
    let list = match known.len() {
        0 => return Refusal::new(input, given, "Nothing is possible here yet."),
        1..=LISTED => format!("Possible: {}.", known.join(", ")),
        all => {
            let first: Vec<&str> = near.iter().take(LISTED).map(|(_, name)| *name).collect();
            format!("Possible, of {all}: {}, …", first.join(", "))
        }
    };
    let possible = match near.first() {
        Some((score, name)) if *score > LIKE => format!("Did you mean {name}? {list}"),
        _ => list,
    };
    Refusal::new(input, given, possible)
}

fn refusal_of(form: &Form, error: &clap::Error) -> Refusal {
    let text = |kind| match error.get(kind) {
        Some(ContextValue::String(s)) => s.clone(),
        Some(ContextValue::Strings(s)) => s.join(", "),
        _ => String::new(),
    };
    let arg = text(ContextKind::InvalidArg);
    let id = arg.trim_start_matches("--").split([' ', '=']).next().unwrap_or_default().to_owned();
    let field = form.field(&id);
    let wanted = field.map(|f| f.wanted()).unwrap_or_default();
    let given = text(ContextKind::InvalidValue);
    let possible = match (error.kind(), error.source()) {
        (ErrorKind::ValueValidation, Some(source)) if field.is_some_and(|f| f.kind != Kind::Whole) => {
            format!("It {source}. {wanted}")
        }
        (ErrorKind::ArgumentConflict, _) => {
            let other = text(ContextKind::PriorArg);
            let other = other.trim_start_matches("--").split([' ', '=']).next().unwrap_or_default().to_owned();
            format!("It cannot stand beside {other}=.")
        }
        _ => wanted,
    };
    let mut refusal = Refusal::new(if id.is_empty() { form.words() } else { id }, given, possible);
    refusal.line = Some(format!("help {}", form.words()));
    refusal
}

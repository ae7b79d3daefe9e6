//! Values for a sum out of a job's readings: `piston clearance job=1 at=3`, or without `at` every place that is measured.

mod sources;
mod told;

use std::collections::BTreeMap;

use sources::{Route, Runs, Source, Take, routes};

use super::context::Context;
use super::form::{Form, JobNumber, Kind, Pick, Place};
use super::judging;
use super::posting::listed;
use super::tree::{Given, Request, Tree};
use super::trouble::{Refusal, Trouble};
use super::{doubt, reply::Reply};
use crate::engine::measures;
use crate::engine::plan::{Check, built_in};
use crate::engine::{Engine, Per, Position, positions};
use crate::quantity::{Dimension, System, named_in, show, unit_for};
use crate::record::{Decision, Entry, Job, Measured};

/// The clap tree, with `job` and `at` for every command that a job can feed.
pub fn with_job(tree: clap::Command) -> clap::Command {
    let names: Vec<(String, String)> = sources::ROUTES
        .iter()
        .filter_map(|route| route.command.split_once(' ').map(|(f, v)| (f.to_owned(), v.to_owned())))
        .collect();
    names.into_iter().fold(tree, |tree, (family, verb)| {
        tree.mut_subcommand(family, |family| {
            family.mut_subcommand(verb, |verb| {
                if verb.get_arguments().any(|arg| arg.get_id() == "job") {
                    return verb;
                }
                let job = clap::Arg::new("job").long("job").value_parser(clap::value_parser!(JobNumber));
                let verb = verb.arg(job.help("Take what is left out from this job's readings"));
                if verb.get_arguments().any(|arg| arg.get_id() == "at") {
                    return verb;
                }
                let at = clap::Arg::new("at").long("at").value_parser(clap::value_parser!(Place)).requires("job");
                verb.arg(at.help("With a job: one place, such as 3; all that are measured where left out"))
            })
        })
    })
}

/// The fields of a command that a job can supply.
pub fn supplied(command: &str) -> Vec<&'static str> {
    routes(command).flat_map(|route| route.sources.iter().map(|source| source.field)).collect()
}

/// What `at` counts for a command, if it is fed by jobs.
pub fn per(command: &str) -> Option<Per> {
    routes(command).next().map(|route| route.per)
}

/// A value that came from a reading.
struct Taken<'e> {
    field: &'static str,
    text: String,
    entry: &'e Entry,
}

/// One sum to do, and what it is done with.
struct Sum<'e> {
    at: Option<Position>,
    given: Given,
    taken: Vec<Taken<'e>>,
}

/// Does a sum with what is given, and from a job where one is named.
pub fn answer(context: &Context, tree: &Tree, request: &Request) -> Result<Reply, Trouble> {
    let form = request.form;
    // A sum that has an `at` of its own is done for every place that is measured.
    let place = form.field("at").is_some_and(|field| field.kind == Kind::Pick(Pick::Position));
    let (ours, given): (Given, Given) =
        request.given.iter().cloned().partition(|(id, _)| id == "job" || (id == "at" && place));
    let routes: Vec<&Route> = routes(&form.words()).collect();
    let named = |id: &str| ours.iter().find(|(name, _)| name == id).map(|(_, value)| value);
    if routes.is_empty() || ours.is_empty() {
        return doubt::answer(context, tree, form, &request.given);
    }
    let Some(number) = named("job") else {
        let possible = "A place is taken from a job: give job=NUMBER with it.";
        return Err(Refusal::new("at", named("at").map_or("", |at| at), possible).into());
    };
    let job = context.named_job(Some(&JobNumber(number.clone())))?;
    let context = &context.for_job(job.clone())?;
    let feed = Feed::new(context, &job, &routes, form, given)?;
    let (sums, lacking) = feed.sums(named("at"))?;
    let mut replies = Vec::new();
    for sum in &sums {
        replies.push(doubt::answer(context, tree, form, &sum.given)?);
    }
    Ok(match replies.as_slice() {
        [_] => told::one(&job, feed.route, &sums[0], replies.remove(0)),
        _ => told::many(context, &job, feed.route, &sums, &replies, &lacking),
    })
}

/// Positions that cannot be done, and the checks they lack.
type Lacking = Vec<(Position, Vec<&'static str>)>;

/// A job opened for one command.
struct Feed<'a> {
    engine: &'a Engine,
    job: &'a Job,
    route: &'static Route,
    form: &'a Form,
    given: Given,
    readings: BTreeMap<(String, String), Entry>,
}

impl<'a> Feed<'a> {
    fn new(
        context: &'a Context,
        job: &'a Job,
        routes: &[&'static Route],
        form: &'a Form,
        mut given: Given,
    ) -> Result<Self, Trouble> {
        let engine = context.engine_of(job)?;
        let said = |given: &Given, id: &str| given.iter().find(|(name, _)| name == id).map(|(_, v)| v.to_lowercase());
        let chosen = routes
            .iter()
            .find(|route| route.choice.is_some_and(|(field, choice)| said(&given, field).as_deref() == Some(choice)));
        let route = *chosen.unwrap_or(&routes[0]);
        if let Some((field, choice)) = route.choice.filter(|(field, _)| said(&given, field).is_none()) {
            given.push((field.to_owned(), choice.to_owned()));
        }
        if let Some(name) = said(&given, "engine") {
            if context.named_engine("engine", &name)?.id != engine.id {
                let possible = format!("Job {} is a {}: leave the engine out.", job.id, engine.title);
                return Err(Refusal::new("engine", name, possible).into());
            }
        } else if form.field("engine").is_some() {
            given.push(("engine".to_owned(), engine.id.clone()));
        }
        // A returned reading waits to be taken again: it does not count.
        let standing = |entry: &Entry| entry.review.as_ref().is_none_or(|r| r.decision != Decision::Returned);
        let readings = context.desk.record.readings(job.id)?.into_iter().filter(standing);
        let readings = readings
            .map(|entry| ((entry.reading.measured.check.clone(), entry.reading.measured.position.clone()), entry))
            .collect();
        Ok(Self { engine, job, route, form, given, readings })
    }

    /// The sums to do, and the positions that cannot be done with what they lack.
    fn sums(&self, at: Option<&String>) -> Result<(Vec<Sum<'_>>, Lacking), Trouble> {
        let mut places = positions(self.engine, self.route.per);
        if let Some(at) = at {
            if self.route.runs == Runs::Together {
                let possible = format!("{} takes every {} together.", self.form.words(), self.route.per.word());
                return Err(Refusal::new("at", at, possible).into());
            }
            let found = Position::parse(self.engine, self.route.per, at);
            places = vec![found.map_err(|_| Refusal::new("at", at, format!("Possible: {}.", listed(&places))))?];
        }
        let (mut ready, mut lacking) = (Vec::new(), Vec::new());
        for place in places {
            let mut lacks: Vec<&str> = self
                .wanted()
                .filter(|source| source.must && self.find(source, place).is_none())
                .map(|source| built_in(source.check).map_or(source.check, |check| check.name))
                .collect();
            // Two readings of one set are lacking as one.
            lacks.dedup();
            if lacks.is_empty() { ready.push(place) } else { lacking.push((place, lacks)) }
        }
        if self.route.runs == Runs::Each && !ready.is_empty() {
            return Ok((ready.into_iter().map(|place| self.each(place)).collect(), lacking));
        }
        let numbered = self.route.sources.iter().any(|source| source.take == Take::Number);
        if ready.is_empty() || !(lacking.is_empty() || numbered) {
            return Err(self.unready(&lacking).into());
        }
        Ok((vec![self.together(&ready)?], Vec::new()))
    }

    /// The sources whose field was not given by hand.
    fn wanted(&self) -> impl Iterator<Item = &'static Source> {
        self.route.sources.iter().filter(|source| !self.given.iter().any(|(id, _)| id == source.field))
    }

    fn find(&self, source: &Source, place: Position) -> Option<&Entry> {
        let check = built_in(source.check)?;
        let position = match place {
            Position::Number(rod) if check.per == Per::Pin && self.route.per == Per::Rod => {
                self.engine.pin_of(rod)?.to_string()
            }
            // The bore that a ring runs in.
            Position::Ring(cylinder, _) if check.per == Per::Cylinder => cylinder.to_string(),
            place if source.part.is_empty() => place.to_string(),
            place => format!("{place} {}", source.part),
        };
        let entry = self.readings.get(&(check.id.to_owned(), position))?;
        (!values(check, source.take, entry, place).is_empty()).then_some(entry)
    }

    fn each(&self, place: Position) -> Sum<'_> {
        let mut sum = Sum { at: Some(place), given: self.given.clone(), taken: Vec::new() };
        for source in self.wanted() {
            self.add(&mut sum, source, place);
        }
        sum
    }

    /// One sum with its lists in the order of the positions. A list that is begun has to be whole.
    fn together(&self, places: &[Position]) -> Result<Sum<'_>, Trouble> {
        let mut sum = Sum { at: None, given: self.given.clone(), taken: Vec::new() };
        for source in self.wanted() {
            let lacking: Vec<_> = places
                .iter()
                .filter(|place| self.find(source, **place).is_none())
                .map(|place| (*place, vec![built_in(source.check).map_or(source.check, |check| check.name)]))
                .collect();
            if !lacking.is_empty() && lacking.len() < places.len() {
                return Err(self.unready(&lacking).into());
            }
        }
        for place in places {
            for source in self.wanted() {
                self.add(&mut sum, source, *place);
            }
        }
        for source in self.wanted() {
            let many = self.form.field(source.field).is_some_and(|field| field.many);
            if !many {
                keep_one(&mut sum, source);
            }
        }
        Ok(sum)
    }

    fn add<'e>(&'e self, sum: &mut Sum<'e>, source: &Source, place: Position) {
        let (Some(entry), Some(check)) = (self.find(source, place), built_in(source.check)) else { return };
        for text in values(check, source.take, entry, place) {
            sum.given.push((source.field.to_owned(), text.clone()));
            sum.taken.push(Taken { field: source.field, text, entry });
        }
    }

    fn unready(&self, lacking: &[(Position, Vec<&str>)]) -> Refusal {
        let possible = format!("Job {} has not all of this yet: {}.", self.job.id, told::lacking(self.route, lacking));
        let mut refusal = Refusal::new("job", self.job.id.to_string(), possible);
        refusal.line = Some(format!("next {}", self.job.id));
        refusal
    }
}

/// Of several values for a field that takes one, the least or the most.
fn keep_one(sum: &mut Sum, source: &Source) {
    // In SI: two readings may have been typed in two units.
    let size = |taken: &&Taken| {
        let raw = taken.entry.reading.measured.raw.iter().copied();
        if source.take == Take::Least {
            -raw.fold(f64::INFINITY, f64::min)
        } else {
            raw.fold(f64::NEG_INFINITY, f64::max)
        }
    };
    let mine = sum.taken.iter().enumerate().filter(|(_, taken)| taken.field == source.field);
    let Some((best, taken)) = mine.max_by(|a, b| size(&a.1).total_cmp(&size(&b.1))) else { return };
    let text = taken.text.clone();
    sum.given.retain(|(id, _)| id != source.field);
    sum.given.push((source.field.to_owned(), text));
    let mut at = 0..;
    sum.taken.retain(|taken| at.next() == Some(best) || taken.field != source.field);
}

/// What a set of readings gives, as it would be typed: with its unit, and its gauge's uncertainty.
fn values(check: &Check, take: Take, entry: &Entry, place: Position) -> Vec<String> {
    let measured = &entry.reading.measured;
    let raw = &measured.raw;
    let typed = |si: f64| typed(check, measured, si);
    match take {
        Take::All => raw.iter().map(|si| typed(*si)).collect(),
        Take::Mean if raw.is_empty() => Vec::new(),
        Take::Mean => vec![typed(raw.iter().sum::<f64>() / raw.len() as f64)],
        Take::Least => raw.iter().copied().reduce(f64::min).map(typed).into_iter().collect(),
        Take::Most => raw.iter().copied().reduce(f64::max).map(typed).into_iter().collect(),
        Take::Reading(at) => raw.get(at).map(|si| typed(*si)).into_iter().collect(),
        Take::Temperature => {
            measured.temperature.map(|kelvin| format!("{}C", show::trimmed(kelvin - 273.15, 6))).into_iter().collect()
        }
        Take::Part => vec![measures::part(place).to_owned()],
        Take::Number => place.number().map(|number| number.to_string()).into_iter().collect(),
    }
}

/// `2.4995in ±0.0001in`, in the system it was measured in. Nine decimals are far finer than any gauge.
fn typed(check: &Check, measured: &Measured, si: f64) -> String {
    let given = unit_for(check.dimension, &measured.unit);
    let Some(unit) = given.or_else(|| named_in(check.dimension, System::Inch)) else {
        return show::trimmed(si, 9);
    };
    let value = show::trimmed((si - unit.offset) / unit.factor, 9);
    let expanded = judging::kept_uncertainty(check, measured, si) / unit.factor;
    match check.dimension {
        // Added to a temperature or a plain number nothing is known.
        Dimension::Number | Dimension::Temperature => format!("{value}{}", unit.symbol),
        _ => format!("{value}{} ±{}{}", unit.symbol, show::trimmed(expanded, 9), unit.symbol),
    }
}

//! What a command knows while it runs: who asks, which engine is in play, and how to read a value so.

use std::sync::Arc;

use jiff::Timestamp;

use super::form::{EngineName, JobNumber};
use super::trouble::{Refusal, Trouble};
use super::{Asker, Desk, line, tree};
use crate::engine::limits::Limit;
use crate::engine::{Duty, Engine};
use crate::library::Library;
use crate::quantity::{Given, Length, Measure, System};
use crate::record::{Actor, Job, JobId};

/// The room a command works in.
pub struct Context<'a> {
    pub desk: &'a Desk,
    pub asker: &'a Asker,
    pub now: Timestamp,
    pub library: Arc<Library>,
    /// The job this person works on in this channel.
    pub job: Option<Job>,
    /// That job's own limits, oldest first.
    pub(super) own_limits: Vec<Limit>,
    /// Expanded uncertainty (SI) of each result by its name, once it is known.
    doubts: Vec<(String, f64)>,
}

impl<'a> Context<'a> {
    pub fn new(desk: &'a Desk, asker: &'a Asker, now: Timestamp) -> Result<Self, Trouble> {
        // A job that was closed since is nobody's current one.
        let job = desk.current(asker)?.filter(Job::is_open);
        let mut context =
            Self { desk, asker, now, library: desk.shelf.current(), job, own_limits: Vec::new(), doubts: Vec::new() };
        if let Some(job) = &context.job {
            context.own_limits = context.overrides(job.id)?;
        }
        Ok(context)
    }

    /// The same room with that job on the bench.
    pub fn for_job(&self, job: Job) -> Result<Self, Trouble> {
        let own_limits = self.overrides(job.id)?;
        Ok(Self { job: Some(job), own_limits, ..self.with_doubts(Vec::new()) })
    }

    /// The same room, where this much is known of how sure the results are.
    pub fn with_doubts(&self, doubts: Vec<(String, f64)>) -> Self {
        Self {
            desk: self.desk,
            asker: self.asker,
            now: self.now,
            library: Arc::clone(&self.library),
            job: self.job.clone(),
            own_limits: self.own_limits.clone(),
            doubts,
        }
    }

    /// The expanded uncertainty of a result, SI; nothing where none was given.
    pub fn doubt(&self, result: &str) -> f64 {
        self.doubts.iter().find(|(name, _)| name == result).map_or(0.0, |(_, expanded)| *expanded)
    }

    /// The asker as the record knows them.
    pub fn actor(&self) -> Actor {
        Actor {
            person: self.asker.person.clone(),
            role: self.desk.role(self.asker),
            front: self.asker.front.word().to_owned(),
            channel: self.asker.channel.clone(),
        }
    }

    /// A command's line with the engines it names by title (`dunlin six`) as one word each; a question stays as it is.
    pub fn one_word_engines<'l>(&self, line: &'l str) -> std::borrow::Cow<'l, str> {
        let first = line.split_whitespace().next().unwrap_or_default().to_lowercase();
        if !self.desk.forms().iter().any(|form| form.family == first) || line.len() > line::LONGEST {
            return line.into();
        }
        let mut out = line.to_owned();
        for engine in self.library.engines().filter(|engine| engine.title.contains(' ')) {
            let at = out.to_ascii_lowercase().find(&engine.title.to_ascii_lowercase());
            if let Some(at) = at.filter(|at| out.is_char_boundary(*at) && out.is_char_boundary(at + engine.title.len()))
            {
                out.replace_range(at..at + engine.title.len(), &engine.id);
            }
        }
        out.into()
    }

    /// The engine a command names, or else that of the current job.
    pub fn engine(&self, named: Option<&EngineName>) -> Result<Option<&Engine>, Refusal> {
        match named {
            Some(EngineName(name)) => self.named_engine("engine", name).map(Some),
            None => Ok(self.job.as_ref().and_then(|job| self.library.engine(&job.engine))),
        }
    }

    /// The engine whose limits a sum goes by: the one named, or that of the current job where the size given can be its
    /// own (within a fifteenth) and no other duty was asked for.
    pub fn engine_for(
        &self,
        named: Option<&EngineName>,
        size: Length,
        own: impl Fn(&Engine) -> Option<Length>,
        duty: Option<Duty>,
    ) -> Result<Option<&Engine>, Refusal> {
        let fits = |engine: &Engine| {
            own(engine).is_some_and(|own| (size - own).abs() <= own / 15.0)
                && duty.is_none_or(|duty| duty == engine.duty)
        };
        Ok(self.engine(named)?.filter(|engine| named.is_some() || fits(engine)))
    }

    /// The engine of that name, or a refusal with those there are.
    pub fn named_engine(&self, input: &str, name: &str) -> Result<&Engine, Refusal> {
        self.library.engine(name).ok_or_else(|| {
            let ids: Vec<&str> = self.library.engines().map(|e| e.id.as_str()).collect();
            tree::unknown(input, name, &ids)
        })
    }

    /// The job a command names (`7`, `#7`), or else the current one.
    pub fn named_job(&self, named: Option<&JobNumber>) -> Result<Job, Trouble> {
        let Some(JobNumber(text)) = named else {
            return self.job.clone().ok_or_else(|| {
                let mut refusal = Refusal::new("job", "", "No job is open here. Take one up, or open one.");
                refusal.line = Some("job list".to_owned());
                refusal.into()
            });
        };
        let number = text
            .trim()
            .parse::<JobId>()
            .map_err(|_| Refusal::new("job", text, "A job has a number, such as #1; `job list` shows them."))?;
        Ok(self.desk.record.job(number)?)
    }

    /// Which unit a bare number takes: the engine's, when one is in play.
    pub fn lean(&self, engine: Option<&Engine>) -> Option<System> {
        engine.map(|e| e.unit)
    }

    /// The system an answer leads with: the person's choice, else the one typed, else the engine's.
    pub fn lead_with(&self, typed: &[Option<System>], engine: Option<&Engine>) -> System {
        self.asker
            .units
            .or_else(|| typed.iter().flatten().next().copied())
            .or_else(|| self.lean(engine))
            .unwrap_or_default()
    }

    /// The unit written behind the last of several values, for the bare ones before it: `2.4995 2.4993 in`.
    pub fn shared_unit<Q: Measure>(&self, given: &[Given<Q>]) -> Option<System> {
        given.last().and_then(Given::system)
    }

    /// Several quantities; the refusal names the input and shows the one at fault.
    pub fn quantities<Q: Measure>(
        &self,
        input: &str,
        given: &[Given<Q>],
        lean: Option<System>,
    ) -> Result<Vec<Q>, Refusal> {
        given.iter().map(|g| self.quantity(input, g, lean)).collect()
    }

    /// A length as given, or the engine's own; a refusal that names the input where there is neither.
    pub fn size(
        &self,
        input: &str,
        given: Option<&Given<Length>>,
        own: Option<Length>,
        lean: Option<System>,
    ) -> Result<Length, Refusal> {
        match (given, own) {
            (Some(given), _) => self.quantity(input, given, lean),
            (None, Some(own)) => Ok(own),
            (None, None) => Err(Refusal::new(input, "", "A length with its unit, or engine=NAME whose page has it.")),
        }
    }

    /// Any quantity, or a refusal that names the input.
    pub fn quantity<Q: Measure>(&self, input: &str, given: &Given<Q>, lean: Option<System>) -> Result<Q, Refusal> {
        given.value(lean).map_err(|misread| Refusal::new(input, &given.written().text, format!("It {misread}.")))
    }
}

//! Every command, once: from this clap tree come the text line, the help, the forms and the slash commands.
//!
//! To add one: copy a file, add it to its family's enum (or to [`Command`]), give it an example and a test page.

// A command is parsed once a line and boxed; its size does not matter.
#![allow(clippy::large_enum_variant)]

pub mod amend;
pub mod ask;
pub mod bearing;
pub mod bolt;
pub mod bore;
pub mod cam;
pub mod clock;
pub mod convert;
pub mod crank;
pub mod crankwork;
pub mod cylinder;
pub mod digest;
pub mod fit;
pub mod instrument;
pub mod job;
pub mod limits;
pub mod log;
pub mod measure;
pub mod metals;
pub mod next;
pub mod orient;
pub mod page;
pub mod pair;
pub mod paste;
pub mod photo;
pub mod piston;
pub mod procedure;
pub mod remedy;
pub mod review;
pub mod ring;
pub mod sheet;
pub mod valve;
pub mod word;

use clap::{Parser, Subcommand};

use crate::desk::{Context, Reply, Trouble};
use crate::engine::Duty;

/// A line that begins with a command.
#[derive(Debug, Parser)]
#[command(no_binary_name = true, disable_help_flag = true, disable_help_subcommand = true)]
pub struct Line {
    #[command(subcommand)]
    pub command: Command,
}

impl Line {
    /// The clap tree itself.
    pub fn command() -> clap::Command {
        <Self as clap::CommandFactory>::command()
    }
}

/// The families, in the order a help list shows them.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Ask the library in your own words.
    Ask(ask::Ask),
    /// Read a page of the library.
    Page(page::Page),
    /// Walk through a procedure step by step.
    Procedure(procedure::Procedure),
    /// What a word of the trade means.
    Word(word::Word),
    /// The limits that hold for an engine, and where they come from.
    Limits(limits::Limits),
    /// Piston rings: gaps cold and hot, room in the groove, what gaps tell of the bore.
    #[command(subcommand)]
    Ring(ring::Ring),
    /// Cylinder bores.
    #[command(subcommand)]
    Bore(bore::Bore),
    /// Pistons in their bores.
    #[command(subcommand)]
    Piston(piston::Piston),
    /// Plain bearings: shells, housings, journals.
    #[command(subcommand)]
    Bearing(bearing::Bearing),
    /// The crankshaft: run-out, end float, side clearance, balance, stroke.
    #[command(subcommand)]
    Crank(crank::Crank),
    /// Volumes of the cylinder.
    #[command(subcommand)]
    Cylinder(cylinder::Cylinder),
    /// Bolts: preload, torque, stretch, angle, order, grades.
    #[command(subcommand)]
    Bolt(bolt::Bolt),
    /// Press fits, dropping in by heat, ISO limits and fits.
    #[command(subcommand)]
    Fit(fit::Fit),
    /// Readings themselves: mean, uncertainty, gauge study, tolerance stack.
    #[command(subcommand)]
    Measure(measure::Measuring),
    /// Which part goes where, so that the worst pair is as good as it can be.
    #[command(subcommand)]
    Pair(pair::Pair),
    /// Cam timing on the degree wheel.
    #[command(subcommand)]
    Cam(cam::Cam),
    /// Valves in the head: springs, guides, seats, lash, pushrods.
    #[command(subcommand)]
    Valve(valve::Valve),
    /// The same quantity in another unit.
    Convert(convert::Convert),
    /// Which way rod and piston go in.
    Orient(orient::Orient),
    /// Where each ring gap sits.
    #[command(subcommand)]
    Clock(clock::Clock),
    /// Jobs: one engine on the bench each.
    #[command(subcommand)]
    Job(job::JobTask),
    /// Post a reading to the current job.
    Log(log::Log),
    /// Post many readings of a check at once, from a gauge or a spreadsheet.
    Paste(paste::Paste),
    /// Correct a reading; the old one stays on record.
    Amend(amend::Amend),
    /// Put a photograph beside a reading, or see those that are there.
    Photo(photo::Photo),
    /// What it would take to bring a reading inside its limits.
    Remedy(remedy::Remedy),
    /// What the measuring plan still wants.
    Next(next::Next),
    /// What the shop measures with: how well, and until when that is known.
    #[command(subcommand)]
    Instrument(instrument::Instrument),
    /// Readings that wait for the lead.
    #[command(subcommand)]
    Review(review::Review),
    /// What the lead should know tonight: out, held, returned, waiting, left lying (lead).
    Digest(digest::Digest),
    /// The build sheet of a job.
    Sheet(sheet::Sheet),
}

impl Command {
    /// True for what only works something out: it may be run as often as one likes.
    pub fn is_sum(&self) -> bool {
        matches!(
            self,
            Self::Ring(_)
                | Self::Bore(_)
                | Self::Piston(_)
                | Self::Bearing(_)
                | Self::Crank(_)
                | Self::Cylinder(_)
                | Self::Bolt(_)
                | Self::Fit(_)
                | Self::Measure(_)
                | Self::Pair(_)
                | Self::Cam(_)
                | Self::Valve(_)
                | Self::Convert(_)
        )
    }

    /// True for what only shows something: nothing is kept, taken up or told by it, so a screen may be made of it.
    pub fn only_looks(&self) -> bool {
        match self {
            Self::Ask(_) | Self::Page(_) | Self::Procedure(_) | Self::Word(_) | Self::Limits(_) => true,
            Self::Orient(_) | Self::Clock(_) | Self::Remedy(_) | Self::Next(_) | Self::Sheet(_) => true,
            Self::Job(task) => matches!(task, job::JobTask::List(_) | job::JobTask::Show(_)),
            Self::Review(task) => {
                matches!(task, review::Review::Queue(_) | review::Review::Matrix(_) | review::Review::Show(_))
            }
            Self::Log(_) | Self::Paste(_) | Self::Amend(_) | Self::Instrument(_) | Self::Digest(_) => false,
            sum => sum.is_sum(),
        }
    }

    /// Runs it. A command that is not listed here does not compile.
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        match self {
            Self::Ask(c) => c.run(context),
            Self::Page(c) => c.run(context),
            Self::Procedure(c) => c.run(context),
            Self::Word(c) => c.run(context),
            Self::Limits(c) => c.run(context),
            Self::Ring(c) => c.run(context),
            Self::Bore(c) => c.run(context),
            Self::Piston(c) => c.run(context),
            Self::Bearing(c) => c.run(context),
            Self::Crank(c) => c.run(context),
            Self::Cylinder(c) => c.run(context),
            Self::Bolt(c) => c.run(context),
            Self::Fit(c) => c.run(context),
            Self::Measure(c) => c.run(context),
            Self::Pair(c) => c.run(context),
            Self::Cam(c) => c.run(context),
            Self::Valve(c) => c.run(context),
            Self::Convert(c) => c.run(context),
            Self::Orient(c) => c.run(context),
            Self::Clock(c) => c.run(context),
            Self::Job(c) => c.run(context),
            Self::Log(c) => c.run(context),
            Self::Paste(c) => c.run(context),
            Self::Amend(c) => c.run(context),
            Self::Photo(c) => c.run(context),
            Self::Remedy(c) => c.run(context),
            Self::Next(c) => c.run(context),
            Self::Instrument(c) => c.run(context),
            Self::Review(c) => c.run(context),
            Self::Digest(c) => c.run(context),
            Self::Sheet(c) => c.run(context),
        }
    }
}

/// The duties a person can name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum DutyName {
    Road,
    Marine,
    Boosted,
}

impl From<DutyName> for Duty {
    fn from(name: DutyName) -> Self {
        match name {
            DutyName::Road => Self::Road,
            DutyName::Marine => Self::Marine,
            DutyName::Boosted => Self::Boosted,
        }
    }
}

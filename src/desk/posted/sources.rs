//! Which value of which command is found in which check of the plan.

use crate::engine::Per;

/// How one sum is fed from a job.
pub struct Route {
    pub command: &'static str,
    /// What the sum is done for, or what its lists run over.
    pub per: Per,
    pub runs: Runs,
    /// A choice of the command that picks this route, where it has several; the first is meant where none is made.
    pub choice: Option<(&'static str, &'static str)>,
    pub sources: &'static [Source],
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Runs {
    /// Once for each position.
    Each,
    /// Once, over all positions that are measured.
    Together,
}

/// Where one field finds its value.
#[derive(Debug, Clone, Copy)]
pub struct Source {
    pub field: &'static str,
    pub check: &'static str,
    /// The part of a position of that check: the top ring, the upper rail.
    pub part: &'static str,
    pub take: Take,
    /// A position without it is left out.
    pub must: bool,
}

/// Which of the raw readings of a set count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Take {
    All,
    Mean,
    Least,
    Most,
    /// One by its place in the set.
    Reading(usize),
    /// The temperature it was taken at.
    Temperature,
    /// The number of the position itself.
    Number,
    /// Its part: intake, exhaust.
    Part,
}

/// The middle of the bore across the thrust faces: where a piston's clearance is told.
const THRUST_MIDDLE: usize = 2;

const fn from(field: &'static str, check: &'static str, take: Take) -> Source {
    Source { field, check, part: "", take, must: true }
}

const fn maybe(field: &'static str, check: &'static str, take: Take) -> Source {
    Source { must: false, ..from(field, check, take) }
}

const fn gap(field: &'static str, part: &'static str) -> Source {
    Source { part, ..maybe(field, "ring-gap", Take::All) }
}

const fn each(command: &'static str, per: Per, sources: &'static [Source]) -> Route {
    Route { command, per, runs: Runs::Each, choice: None, sources }
}

const fn together(command: &'static str, per: Per, sources: &'static [Source]) -> Route {
    Route { runs: Runs::Together, ..each(command, per, sources) }
}

const fn of(which: &'static str, route: Route) -> Route {
    Route { choice: Some(("of", which)), ..route }
}

const fn into(what: &'static str, route: Route) -> Route {
    Route { choice: Some(("into", what)), ..route }
}

use Take::{All, Least, Mean, Most, Number, Part, Reading, Temperature};

pub static ROUTES: &[Route] = &[
    each("ring gap", Per::Cylinder, &[from("bore", "bore", Mean)]),
    together(
        "ring file",
        Per::Cylinder,
        // One gap rule for the set goes by its largest bore.
        &[
            from("bore", "bore", Most),
            gap("top", "top"),
            gap("second", "second"),
            gap("rail", "upper rail"),
            gap("rail", "lower rail"),
        ],
    ),
    each(
        "ring side",
        Per::CompressionRing,
        &[
            from("groove", "ring-groove", Reading(0)),
            from("width", "ring-groove", Reading(1)),
            from("ring", "ring-groove", Part),
        ],
    ),
    each(
        "ring back",
        Per::CompressionRing,
        &[
            // The tightest way across it.
            from("bore", "bore", Least),
            from("root", "ring-root", Reading(0)),
            from("depth", "ring-root", Reading(1)),
            from("ring", "ring-root", Part),
        ],
    ),
    each("bore grid", Per::Cylinder, &[from("readings", "bore", All)]),
    together("bore oversize", Per::Cylinder, &[from("readings", "bore", Most)]),
    together("bore hone", Per::Cylinder, &[from("bore", "bore", Least), from("piston", "piston-skirt", Mean)]),
    each(
        "piston clearance",
        Per::Cylinder,
        &[
            from("bore", "bore", Reading(THRUST_MIDDLE)),
            from("skirt", "piston-skirt", Mean),
            maybe("bore-temp", "bore", Temperature),
            maybe("piston-temp", "piston-skirt", Temperature),
        ],
    ),
    together("piston deck", Per::Cylinder, &[from("readings", "piston-to-deck", All)]),
    of(
        "main",
        each("bearing clearance", Per::Main, &[from("id", "main-bearing", All), from("journal", "main-journal", All)]),
    ),
    of(
        "rod",
        each("bearing clearance", Per::Rod, &[from("id", "rod-bearing", All), from("journal", "rod-journal", All)]),
    ),
    of("main", together("bearing undersize", Per::Main, &[from("readings", "main-journal", Least)])),
    of("rod", together("bearing undersize", Per::Pin, &[from("readings", "rod-journal", Least)])),
    of(
        "main",
        together(
            "bearing pick",
            Per::Main,
            &[from("housing", "main-housing", Least), from("journal", "main-journal", Most)],
        ),
    ),
    of(
        "rod",
        together("bearing pick", Per::Rod, &[from("housing", "big-end", Least), from("journal", "rod-journal", Most)]),
    ),
    each("crank runout", Per::Main, &[from("readings", "crank-dial", All)]),
    together("crank end-float", Per::Engine, &[from("float", "crank-end-float", All)]),
    each("cylinder displacement", Per::Cylinder, &[from("bore", "bore", Mean)]),
    each(
        "cylinder compression",
        Per::Cylinder,
        &[from("bore", "bore", Mean), from("deck", "piston-to-deck", Mean), maybe("chamber", "chamber-volume", Mean)],
    ),
    together("cylinder squish", Per::Cylinder, &[from("deck", "piston-to-deck", Mean)]),
    together(
        "cylinder leakdown",
        Per::Cylinder,
        &[from("leakage", "leak-down", All), maybe("cylinders", "leak-down", Number)],
    ),
    together(
        "cylinder compression-test",
        Per::Cylinder,
        &[from("pressures", "compression-test", All), maybe("cylinders", "compression-test", Number)],
    ),
    into(
        "piston",
        each("piston pin", Per::Cylinder, &[from("hole", "pin-bore", Least), from("pin", "piston-pin", Most)]),
    ),
    into(
        "rod-bush",
        each("piston pin", Per::Rod, &[from("hole", "small-end", Least), from("pin", "piston-pin", Most)]),
    ),
    into(
        "rod-press",
        each("piston pin", Per::Rod, &[from("hole", "small-end", Least), from("pin", "piston-pin", Most)]),
    ),
    each(
        "crank balance",
        Per::Cylinder,
        &[
            from("piston", "piston-weight", Mean),
            from("pin", "pin-weight", Mean),
            from("small-end", "small-end-weight", Mean),
            from("big-end", "big-end-weight", Mean),
        ],
    ),
    together(
        "pair weights",
        Per::Cylinder,
        &[from("assembly", "piston-weight", Mean), from("rod", "small-end-weight", Mean)],
    ),
    each("valve seat", Per::Valve, &[from("width", "seat-width", Mean), from("valve", "seat-width", Part)]),
    each("valve height", Per::Valve, &[from("heights", "installed-height", Mean)]),
    each(
        "valve spring",
        Per::Valve,
        // The tester reads the seat load at the installed height; the rate or a second load comes by hand.
        &[
            from("load", "seat-load", Mean),
            from("height", "installed-height", Mean),
            from("valve", "installed-height", Part),
        ],
    ),
    each("valve lash", Per::Valve, &[from("lash", "valve-lash", Mean)]),
    each("bolt stretch", Per::RodBolt, &[from("measured", "bolt-stretch", All)]),
    together(
        "pair pistons",
        Per::Cylinder,
        &[from("bore", "bore", Reading(THRUST_MIDDLE)), from("skirt", "piston-skirt", Mean)],
    ),
    of(
        "main",
        together(
            "pair shells",
            Per::Main,
            &[from("housing", "main-housing", Mean), from("journal", "main-journal", Mean)],
        ),
    ),
    of(
        "rod",
        together("pair shells", Per::Rod, &[from("housing", "big-end", Mean), from("journal", "rod-journal", Mean)]),
    ),
];

/// The ways a command is fed.
pub fn routes(command: &str) -> impl Iterator<Item = &'static Route> + use<'_> {
    ROUTES.iter().filter(move |route| route.command == command)
}

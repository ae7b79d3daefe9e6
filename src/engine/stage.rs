//! The stages of a rebuild, in the order a shop takes them.

/// A stage of the rebuild.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Stage {
    Intake,
    Clean,
    MeasureBlock,
    MeasureCrank,
    Machining,
    Balance,
    Crank,
    Rings,
    PistonToRod,
    PistonsIn,
    Deck,
    Timing,
    Heads,
    CloseUp,
    Prove,
    FirstStart,
}

impl Stage {
    /// All stages, first to last.
    pub const ALL: [Self; 16] = [
        Self::Intake,
        Self::Clean,
        Self::MeasureBlock,
        Self::MeasureCrank,
        Self::Machining,
        Self::Balance,
        Self::Crank,
        Self::Rings,
        Self::PistonToRod,
        Self::PistonsIn,
        Self::Deck,
        Self::Timing,
        Self::Heads,
        Self::CloseUp,
        Self::Prove,
        Self::FirstStart,
    ];

    /// The word used in pages and commands.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Intake => "intake",
            Self::Clean => "clean",
            Self::MeasureBlock => "measure-block",
            Self::MeasureCrank => "measure-crank",
            Self::Machining => "machining",
            Self::Balance => "balance",
            Self::Crank => "crank",
            Self::Rings => "rings",
            Self::PistonToRod => "piston-to-rod",
            Self::PistonsIn => "pistons-in",
            Self::Deck => "deck",
            Self::Timing => "timing",
            Self::Heads => "heads",
            Self::CloseUp => "close-up",
            Self::Prove => "prove",
            Self::FirstStart => "first-start",
        }
    }

    /// The name shown to people.
    pub fn title(self) -> &'static str {
        match self {
            Self::Intake => "Intake and strip",
            Self::Clean => "Clean and crack-check",
            Self::MeasureBlock => "Measure the block",
            Self::MeasureCrank => "Measure crank and rods",
            Self::Machining => "Decide the machining",
            Self::Balance => "Balance",
            Self::Crank => "Lay the crank",
            Self::Rings => "Fit the rings",
            Self::PistonToRod => "Piston to rod",
            Self::PistonsIn => "Pistons in",
            Self::Deck => "Deck and squish",
            Self::Timing => "Timing",
            Self::Heads => "Heads",
            Self::CloseUp => "Close up",
            Self::Prove => "Prove",
            Self::FirstStart => "First start and hand-over",
        }
    }

    /// True where the lead must accept the readings before the next stage begins (common practice).
    pub fn wants_lead(self) -> bool {
        matches!(self, Self::Machining | Self::Crank | Self::PistonsIn | Self::Deck | Self::Prove)
    }

    /// The stage of that slug, in any case.
    pub fn named(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stage| slug.trim().eq_ignore_ascii_case(stage.slug()))
    }
}

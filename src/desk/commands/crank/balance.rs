//! `crank balance 560g 145g 180g 420g rings=52g bank=90`: the bobweight card of a V engine.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::{Engine, Layout};
use crate::maths::bobweight::{self, Card, Parts};
use crate::quantity::{Angle, Dimension, Given, Mass, Measure, Share, System, show};

/// What one cylinder weighs, the bank angle, and the share.
#[derive(Debug, Args)]
#[command(after_help = "crank balance 560g 145g 180g 420g rings=52g locks=4g shells=44g oil=5g bank=90")]
pub struct Balance {
    /// One bare piston.
    pub piston: Given<Mass>,
    /// Its gudgeon pin.
    pub pin: Given<Mass>,
    /// Small end of one rod, the big end hung level on its own stand.
    pub small_end: Given<Mass>,
    /// Big end of one rod, the same way.
    pub big_end: Given<Mass>,
    /// The rings of one piston.
    #[arg(long)]
    pub rings: Option<Given<Mass>>,
    /// Both retainers of one pin.
    #[arg(long)]
    pub locks: Option<Given<Mass>>,
    /// Both half-shells of one rod.
    #[arg(long)]
    pub shells: Option<Given<Mass>>,
    /// Oil allowed for in one crank pin.
    #[arg(long)]
    pub oil: Option<Given<Mass>>,
    /// Angle between the banks; the engine's where left out.
    #[arg(long)]
    pub bank: Option<Given<Angle>>,
    /// Share of the reciprocating weight: 50 % at 90 degrees; more is overbalance, a choice.
    #[arg(long)]
    pub share: Option<Given<Share>>,
    /// Take the layout from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

/// The share that cancels what turns with the crank.
const HALF: f64 = 0.5;

impl Balance {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?.filter(|_| self.engine.is_some() || self.bank.is_none());
        let parts = self.parts(context)?;
        let in_line = engine.is_some_and(|e| matches!(e.layout, Layout::Inline(_)));
        // A card in line has no bank; the weights are still checked, at any angle.
        let bank = if in_line { right_angle() } else { self.bank_angle(context, engine)? };
        bobweight::card(&parts, bank, Share(HALF)).or_refuse(&self.typed())?;
        let share = self.share_of(context, bank, in_line)?;
        let card = bobweight::card(&parts, bank, share).or_refuse(&self.typed())?;
        match engine.filter(|_| in_line) {
            Some(engine) => in_a_row(engine, &parts, &card),
            None => Ok(self.told(&parts, &card, bank, share)),
        }
    }

    fn parts(&self, context: &Context) -> Result<Parts, Refusal> {
        // Balance scales read grams everywhere, so a bare number is grams.
        let read = |name, given: &Given<Mass>| context.quantity(name, given, Some(System::Metric));
        let or_nothing = |name, given: &Option<Given<Mass>>| {
            given.as_ref().map_or(Ok(Mass::from_si(0.0)), |given| read(name, given))
        };
        Ok(Parts {
            piston: read("piston", &self.piston)?,
            pin: read("pin", &self.pin)?,
            locks: or_nothing("locks", &self.locks)?,
            rings: or_nothing("rings", &self.rings)?,
            small_end: read("small-end", &self.small_end)?,
            big_end: read("big-end", &self.big_end)?,
            shells: or_nothing("shells", &self.shells)?,
            oil: or_nothing("oil", &self.oil)?,
        })
    }

    fn bank_angle(&self, context: &Context, engine: Option<&Engine>) -> Result<Angle, Refusal> {
        if let Some(bank) = &self.bank {
            return context.quantity("bank", bank, None);
        }
        match engine.map(|e| (e, &e.layout)) {
            Some((_, Layout::V { banks, angle })) if banks.shared_pins => Ok(Angle::from_si(angle.to_radians())),
            Some((engine, _)) => {
                let possible = "This card is for a V engine with two rods on each pin. Others are balanced by their maker's sheet.";
                Err(Refusal::new("engine", engine.title.clone(), possible))
            }
            None => {
                let possible = "The angle between the banks, such as bank=90; or engine=NAME whose page has it. An in-line four or six with even firing needs no bobweight.";
                Err(Refusal::new("bank", "", possible))
            }
        }
    }

    fn share_of(&self, context: &Context, bank: Angle, in_line: bool) -> Result<Share, Refusal> {
        let square = (bank.si() - right_angle().si()).abs() < 1e-6;
        match &self.share {
            Some(share) => context.quantity("share", share, None),
            None if square || in_line => Ok(Share(HALF)),
            None => {
                let possible = format!(
                    "The half of the textbook is for 90°. At {} the maker or the balance shop states the share: give it, such as share=50.",
                    show::angle(bank)
                );
                Err(Refusal::new("share", "", possible))
            }
        }
    }

    fn typed(&self) -> Vec<(&str, &crate::quantity::Written)> {
        let needed = [
            ("piston weight", &self.piston),
            ("pin", &self.pin),
            ("small end", &self.small_end),
            ("big end", &self.big_end),
        ];
        let mut typed: Vec<_> = needed.map(|(name, given)| (name, given.written())).into();
        for (name, given) in
            [("rings", &self.rings), ("locks", &self.locks), ("shells", &self.shells), ("oil", &self.oil)]
        {
            typed.extend(given.as_ref().map(|given| (name, given.written())));
        }
        typed.extend(self.bank.as_ref().map(|given| ("bank", given.written())));
        typed.extend(self.share.as_ref().map(|given| ("share", given.written())));
        typed
    }

    fn told(&self, parts: &Parts, card: &Card, bank: Angle, share: Share) -> Reply {
        let over = share.0 - HALF;
        let mut reply = Reply::new(format!("Bobweight {} for each crank pin", show::mass(card.bobweight)))
            .block(Block::Table(table(parts)))
            .working([
                format!(
                    "rotating: 2 x ({} big end + {} shells) + {} oil = {}",
                    grams(parts.big_end),
                    grams(parts.shells),
                    grams(parts.oil),
                    grams(card.rotating)
                ),
                format!(
                    "reciprocating: 2 x ({} small end + {} piston + {} pin + {} rings + {} locks) = {}",
                    grams(parts.small_end),
                    grams(parts.piston),
                    grams(parts.pin),
                    grams(parts.rings),
                    grams(parts.locks),
                    grams(card.reciprocating)
                ),
                format!(
                    "100 % of {} + {} of {} = {}",
                    grams(card.rotating),
                    show::share(share),
                    grams(card.reciprocating),
                    grams(card.bobweight)
                ),
            ])
            .fields([
                ("Bank angle", show::angle(bank)),
                (
                    "Share",
                    if over.abs() < 1e-9 { "50.0 %: neither over nor under".to_owned() } else { chosen(over, card) },
                ),
                ("Left, turning backwards", backward(card, bank)),
            ]);
        let missing: Vec<&str> =
            [("rings", &self.rings), ("locks", &self.locks), ("shells", &self.shells), ("oil", &self.oil)]
                .into_iter()
                .filter(|(_, given)| given.is_none())
                .map(|(name, _)| name)
                .collect();
        if !missing.is_empty() {
            reply = reply.text(format!("Counted as nothing, because not given: {}.", missing.join(", ")));
        }
        for (name, mass) in [
            ("bobweight", card.bobweight),
            ("rotating", card.rotating),
            ("reciprocating", card.reciprocating),
            ("reciprocating_each", card.reciprocating_each),
            ("left_backward", card.left_backward),
        ] {
            reply = reply.value(Value::si(name, Dimension::Mass, mass.si(), System::Metric));
        }
        reply
            .caution(Loudness::Important, "Match every part to the lightest of its kind first: one card serves all pins only then. The damper and flywheel of an engine that is balanced with them on (external) are on the machine too. Maker's sheet first.")
            .sources([
                "primary forces of two bores on one pin; 100 % + 50 % at 90°: textbooks on the V-twin (from memory)",
                "an in-line four or six with even firing needs no bobweight",
            ])
            .action(Action::form("Match pistons to rods by weight", "pair weights"))
    }
}

/// A crank in line: spun bare where its pins balance each other.
fn in_a_row(engine: &Engine, parts: &Parts, card: &Card) -> Result<Reply, Trouble> {
    if !engine.pins.as_ref().is_some_and(|pins| bobweight::balances_itself(pins)) {
        let possible = "Its pins do not balance each other, or its page does not say where they stand: the maker's sheet says what is hung on them.";
        return Err(Refusal::new("engine", engine.title.clone(), possible).into());
    }
    let rotating = parts.big_end + parts.shells;
    Ok(Reply::new(format!("No bobweight: the crank of the {} is spun bare", engine.title))
        .text("Its pins stand so that equal weights on them balance in force and in couple. What matters is that they are equal: match pistons, pins and both ends of the rods.")
        .fields([
            ("Reciprocating, each", show::mass(card.reciprocating_each)),
            ("Rotating, each", show::mass(rotating)),
        ])
        .value(Value::si("reciprocating_each", Dimension::Mass, card.reciprocating_each.si(), System::Metric))
        .value(Value::si("rotating_each", Dimension::Mass, rotating.si(), System::Metric))
        .sources([format!("sum of forces and couples of the pins on the {}'s page", engine.title)])
        .action(Action::form("Match pistons to rods by weight", "pair weights")))
}

fn right_angle() -> Angle {
    Angle::from_si(std::f64::consts::FRAC_PI_2)
}

fn grams(mass: Mass) -> String {
    format!("{} g", show::fixed(mass.si() * 1e3, 1))
}

fn chosen(over: f64, card: &Card) -> String {
    let word = if over > 0.0 { "overbalance" } else { "underbalance" };
    format!(
        "{} % {word}, as stated: {} at each pin beyond what cancels",
        show::fixed(over.abs() * 100.0, 1),
        grams(card.left_forward)
    )
}

fn backward(card: &Card, bank: Angle) -> String {
    let left = card.left_backward.abs();
    if left.si() < 1e-6 {
        return "nothing: at 90° the two pistons of a pin balance fully, to the first order".to_owned();
    }
    format!(
        "{} of reciprocating weight at each pin (cos {}), which no counterweight reaches; the order of the pins may cancel it",
        grams(left),
        show::angle(bank)
    )
}

fn table(parts: &Parts) -> Table {
    let row = |name: &str, mass: Mass, kind: &str, count: f64| -> Vec<Cell> {
        vec![name.into(), grams(mass).into(), kind.into(), grams(mass * count).into()]
    };
    Table {
        caption: String::new(),
        header: ["Part", "One", "Moves", "On a pin"].map(String::from).to_vec(),
        rows: vec![
            row("Piston", parts.piston, "up and down", 2.0),
            row("Pin", parts.pin, "up and down", 2.0),
            row("Rings", parts.rings, "up and down", 2.0),
            row("Locks", parts.locks, "up and down", 2.0),
            row("Small end", parts.small_end, "up and down", 2.0),
            row("Big end", parts.big_end, "round", 2.0),
            row("Shells", parts.shells, "round", 2.0),
            row("Oil", parts.oil, "round", 1.0),
        ],
    }
}

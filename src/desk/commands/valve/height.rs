//! `valve height 1.830in 1.812in 1.845in wanted=1.800in`: shims for each spring.

use clap::Args;

use super::under_load;
use crate::desk::reply::{Action, Block, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Trouble};
use crate::maths::valves::{self, Pack};
use crate::quantity::{Given, Length, Measure, System, inches, show};

/// Installed heights as found, and the one wanted.
#[derive(Debug, Args)]
#[command(after_help = "valve height 1.830in 1.812in 1.845in wanted=1.800in")]
pub struct Height {
    /// Installed heights as found, spring seat to retainer, in the order of the valves.
    #[arg(required = true)]
    pub heights: Vec<Given<Length>>,
    /// Installed height wanted.
    #[arg(long, required = true)]
    pub wanted: Given<Length>,
    /// Shim thicknesses to hand; 0.015, 0.030 and 0.060 in where left out.
    #[arg(long)]
    pub shim: Vec<Given<Length>>,
}

/// Shims to be had, inches. Common practice.
pub const SHIMS: [f64; 3] = [0.015, 0.030, 0.060];
/// Springs of one engine: four valves a cylinder, twelve cylinders.
const MOST: usize = 48;

impl Height {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = self.wanted.system().or(context.shared_unit(&self.heights)).or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        if self.heights.len() > MOST {
            let possible = format!("At most {MOST} at once; {} came.", self.heights.len());
            return Err(crate::desk::Refusal::new("heights", "", possible).into());
        }
        let heights = context.quantities("heights", &self.heights, lean)?;
        let wanted = context.quantity("wanted", &self.wanted, lean)?;
        let stock = match self.shim.as_slice() {
            [] => SHIMS.map(inches).to_vec(),
            given => context.quantities("shim", given, lean)?,
        };
        let mut packs = Vec::new();
        for (height, given) in heights.iter().zip(&self.heights) {
            let mut typed = vec![("heights", given.written()), ("wanted", self.wanted.written())];
            typed.extend(self.shim.last().map(|g| ("shim", g.written())));
            packs.push(valves::pack(*height, wanted, &stock).or_refuse(&typed)?);
        }
        let low = packs.iter().filter(|p| too_low(p)).count();
        let title = match (packs.as_slice(), low) {
            ([one], 1) => format!("Sits {} too low: no shim", show::length(-one.needed, lead)),
            ([one], _) if one.shims.is_empty() => "No shim: the height is as near as it gets".to_owned(),
            ([one], _) => format!("Shim {}", show::length(one.total, lead)),
            (all, 0) => format!("Shims for {} springs to {}", all.len(), show::length(wanted, lead)),
            (all, low) => format!("Shims for {} springs; {low} already too low", all.len() - low),
        };
        let rows = packs.iter().enumerate().map(|(i, pack)| row(i + 1, pack, lead).map(Into::into).to_vec()).collect();
        let header = ["No.", "Found", "Wants", "Shims", "Then", "Off by"].map(String::from).to_vec();
        let mut reply = Reply::new(title).block(Block::Table(Table { caption: String::new(), header, rows })).working(
            packs.iter().take(1).map(|pack| {
                format!(
                    "first: {} found - {} wanted = {}",
                    show::length_in(pack.height, lead),
                    show::length_in(wanted, lead),
                    show::length_in(pack.needed, lead)
                )
            }),
        );
        if low > 0 {
            reply = reply.text("Too low: a thinner shim if one is in, a retainer or keepers that sit higher, or a deeper spring seat by the head's maker. Its load is higher and its coil-bind margin smaller until then.");
        }
        for (i, pack) in packs.iter().enumerate() {
            reply = reply.value(Value::length(&format!("shim_{}", i + 1), pack.total, lead)).value(Value::length(
                &format!("height_{}", i + 1),
                pack.after,
                lead,
            ));
        }
        let stock: Vec<String> = stock.iter().map(|t| show::length_in(*t, lead)).collect();
        let basis = if self.shim.is_empty() { "usual shims, common practice" } else { "shims as given" };
        Ok(under_load(reply)
            .text("Seat to the underside of the retainer, keepers pulled up tight, without a spring. A shim takes its whole thickness off the coil-bind margin: check that next.")
            .sources([format!("definition: found - wanted; {basis}: {}, up to three in a pack", stock.join(", "))])
            .action(Action::form("Loads and coil bind", format!("valve spring height={} load= at=", self.wanted.to_string().replace(' ', "")))))
    }
}

/// Under the height wanted by more than half the thinnest thing that could be measured away.
fn too_low(pack: &Pack) -> bool {
    pack.needed.si() < -inches(0.0005).si()
}

fn row(number: usize, pack: &Pack, lead: System) -> [String; 6] {
    let shims = match pack.shims.as_slice() {
        [] if too_low(pack) => "too low".to_owned(),
        [] => "none".to_owned(),
        some => some.iter().map(|t| plain(*t, lead)).collect::<Vec<_>>().join(" + "),
    };
    [
        number.to_string(),
        show::length_in(pack.height, lead),
        plain(pack.needed, lead),
        shims,
        show::length_in(pack.after, lead),
        plain(pack.left, lead),
    ]
}

/// The number alone: the table's other columns have the unit.
fn plain(length: Length, lead: System) -> String {
    let text = show::length_in(length, lead);
    text.split_once(' ').map_or(text.clone(), |(number, _)| number.to_owned())
}

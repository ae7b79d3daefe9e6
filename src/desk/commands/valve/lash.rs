//! `valve lash 0.022in ratio=1.5`: lash at the lobe. With the parts and their heat, `valve lash 0.022in ratio=1.5
//! valve=4.900in valve-temp=150C head=4.500in head-temp=90C`: what to set cold.

use clap::{Args, ValueEnum};

use super::before_the_starter;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::sense::{Inputs, OrRefuse};
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::materials::{self, Material};
use crate::maths::valves::{self, Part, Train, Warming};
use crate::quantity::{Given, Length, Measure, Number, System, Temperature, show};

/// The lash, the ratio, and the parts that grow with their mean temperatures at work.
#[derive(Debug, Args)]
#[command(after_help = "valve lash 0.022in ratio=1.5 valve=4.900in valve-temp=150C head=4.500in head-temp=90C")]
pub struct Lash {
    /// Lash at the valve, hot where parts are given.
    pub lash: Given<Length>,
    /// Rocker ratio; 1 where the cam works on the valve.
    #[arg(long, default_value = "1")]
    pub ratio: Given<Number>,
    /// Valve, seat to tip.
    #[arg(long, requires = "valve_temp")]
    pub valve: Option<Given<Length>>,
    /// Mean temperature of the valve at work.
    #[arg(long, requires = "valve")]
    pub valve_temp: Option<Given<Temperature>>,
    /// Metal of the valve.
    #[arg(long, default_value = "steel")]
    pub valve_metal: PartMetal,
    /// Head, seat to rocker pivot along the stem.
    #[arg(long, requires = "head_temp")]
    pub head: Option<Given<Length>>,
    /// Mean temperature of that part of the head at work.
    #[arg(long, requires = "head")]
    pub head_temp: Option<Given<Temperature>>,
    /// Metal of the head.
    #[arg(long, default_value = "cast-iron")]
    pub head_metal: PartMetal,
    /// Pushrod length.
    #[arg(long, requires = "pushrod_temp")]
    pub pushrod: Option<Given<Length>>,
    /// Mean temperature of the pushrod at work.
    #[arg(long, requires = "pushrod")]
    pub pushrod_temp: Option<Given<Temperature>>,
    /// Metal of the pushrod.
    #[arg(long, default_value = "steel")]
    pub pushrod_metal: PartMetal,
    /// Block and head, lifter to rocker pivot along the pushrod.
    #[arg(long, requires = "block_temp")]
    pub block: Option<Given<Length>>,
    /// Mean temperature of block and head there at work.
    #[arg(long, requires = "block")]
    pub block_temp: Option<Given<Temperature>>,
    /// Metal of the block, or of whichever is the longer part.
    #[arg(long, default_value = "cast-iron")]
    pub block_metal: PartMetal,
    /// Temperature at which the lash is set cold.
    #[arg(long, default_value = "20C")]
    pub cold: Given<Temperature>,
}

/// What a valve train and its head are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PartMetal {
    Steel,
    AlloySteel,
    AusteniticSteel,
    CastIron,
    Aluminium,
}

fn metal(name: PartMetal) -> Result<&'static Material, Trouble> {
    let value = name.to_possible_value().ok_or_else(|| anyhow::anyhow!("a metal is hidden"))?;
    Ok(materials::material(value.get_name())
        .ok_or_else(|| anyhow::anyhow!("the metal {} is not in the table", value.get_name()))?)
}

type Fields<'a> = (&'static str, &'a Option<Given<Length>>, &'static str, &'a Option<Given<Temperature>>, PartMetal);

impl Lash {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine).or(self.lash.system());
        let lead = context.lead_with(&[self.lash.system()], engine);
        let hot = context.quantity("lash", &self.lash, lean)?;
        let ratio = context.quantity("ratio", &self.ratio, None)?.0;
        let mut typed =
            vec![("lash", self.lash.written()), ("ratio", self.ratio.written()), ("cold", self.cold.written())];
        for (name, length, heat, temperature, _) in self.parts() {
            typed.extend(length.as_ref().map(|g| (name, g.written())));
            typed.extend(temperature.as_ref().map(|g| (heat, g.written())));
        }
        let lobe = valves::lobe_lash(hot, ratio).or_refuse(&typed)?;
        if self.parts().iter().any(|(_, length, ..)| length.is_some()) {
            return self.cold(context, (hot, ratio), (lean, lead), &typed);
        }
        let reply = Reply::new(format!("Lash {} at the valve is {} at the lobe", show::length(hot, lead), show::length(lobe, lead)))
            .working([format!("{} / {} = {}", show::length_in(hot, lead), self.ratio.written().text, show::length_in(lobe, lead))])
            .text("The gauge at the valve tip reads the valve's lash; between cam and follower it is smaller by the ratio. For a cold setting give the parts and their temperatures.")
            .value(Value::length("lobe_lash", lobe, lead))
            .sources(["definition: lash at the lobe = lash at the valve / ratio"]);
        Ok(finish(reply))
    }

    fn parts(&self) -> [Fields<'_>; 4] {
        [
            ("valve", &self.valve, "valve-temp", &self.valve_temp, self.valve_metal),
            ("head", &self.head, "head-temp", &self.head_temp, self.head_metal),
            ("pushrod", &self.pushrod, "pushrod-temp", &self.pushrod_temp, self.pushrod_metal),
            ("block", &self.block, "block-temp", &self.block_temp, self.block_metal),
        ]
    }

    fn cold(
        &self,
        context: &Context,
        (hot, ratio): (Length, f64),
        (lean, lead): (Option<System>, System),
        typed: Inputs,
    ) -> Result<Reply, Trouble> {
        // A valve alone, without the head that carries it, would say three times too much.
        for (one, other) in [("valve", "head"), ("pushrod", "block")] {
            let has = |name| self.parts().iter().any(|(part, length, ..)| *part == name && length.is_some());
            for (given, missing) in [(one, other), (other, one)] {
                if has(given) && !has(missing) {
                    let possible =
                        format!("The {given} grows against the {missing}: give both, with their temperatures.");
                    return Err(Refusal::new(missing, "", possible).into());
                }
            }
        }
        let cold = context.quantity("cold", &self.cold, lean)?;
        let mut found: Vec<(&str, Option<Part>, &Material)> = Vec::new();
        for (name, length, heat, temperature, made_of) in self.parts() {
            let metal = metal(made_of)?;
            let part = match (length, temperature) {
                (Some(length), Some(temperature)) => Some(Part {
                    length: context.quantity(name, length, lean)?,
                    expansion: metal.expansion,
                    hot: context.quantity(heat, temperature, lean)?,
                }),
                _ => None,
            };
            found.push((name, part, metal));
        }
        let of = |name: &str| found.iter().find(|(part, ..)| *part == name).and_then(|(_, part, _)| *part);
        let train = Train { valve: of("valve"), head: of("head"), pushrod: of("pushrod"), block: of("block") };
        let sum = valves::cold_lash(hot, ratio, &train, cold).or_refuse(typed)?;
        let title = if sum.cold.si() <= 0.0 {
            format!("No cold lash gives {} hot: check the figures", show::length(hot, lead))
        } else {
            format!("Set {} cold for {} hot, by estimate", show::length(sum.cold, lead), show::length(hot, lead))
        };
        let word = if sum.change.si() < 0.0 { "closes" } else { "opens" };
        let reply = Reply::new(title)
            .block(Block::Table(table(&found, &sum, lead)))
            .working([
                format!("{} = {}: the lash {word} as it warms", sides(self, &sum, lead), show::length_in(sum.change, lead)),
                format!("{} hot - ({}) = {} cold", show::length_in(hot, lead), show::length_in(sum.change, lead), show::length_in(sum.cold, lead)),
            ])
            .caution(Loudness::Important, "An estimate: mean temperatures are guesses and metals vary. The maker's cold lash wins; set this only to start on, and check hot.")
            .value(Value::length("cold", sum.cold, lead))
            .value(Value::length("change", sum.change, lead));
        let mut sources = vec!["linear expansion, growth = a L dT; lever at the rocker".to_owned()];
        for (_, part, metal) in &found {
            let line = format!("expansion of {}: {}", metal.name, metal.source);
            if part.is_some() && !sources.contains(&line) {
                sources.push(line);
            }
        }
        Ok(finish(reply.sources(sources)))
    }
}

/// The growths of whichever side was given: `(0.0036 in head - 0.0075 in valve)`.
fn sides(lash: &Lash, sum: &Warming, lead: System) -> String {
    let length = |value| show::length_in(value, lead);
    let valve = lash.valve.as_ref().map(|_| format!("({} head - {} valve)", length(sum.head), length(sum.valve)));
    let pushrod = lash.pushrod.as_ref().map(|_| {
        let ratio = &lash.ratio.written().text;
        format!("{ratio} x ({} block - {} pushrod)", length(sum.block), length(sum.pushrod))
    });
    [valve, pushrod].into_iter().flatten().collect::<Vec<_>>().join(" + ")
}

fn table(found: &[(&str, Option<Part>, &Material)], sum: &Warming, lead: System) -> Table {
    let grown = |name: &str| match name {
        "valve" => sum.valve,
        "head" => sum.head,
        "pushrod" => sum.pushrod,
        _ => sum.block,
    };
    let rows = found.iter().filter_map(|(name, part, _)| {
        let part = (*part)?;
        Some(vec![
            Cell::from(*name),
            show::length_in(part.length, lead).into(),
            show::temperature(part.hot, lead).into(),
            show::length(grown(name), lead).into(),
        ])
    });
    let header = ["Part", "Length", "At work", "Grows"].map(String::from).to_vec();
    Table { caption: String::new(), header, rows: rows.collect() }
}

fn finish(reply: Reply) -> Reply {
    before_the_starter(reply)
        .action(Action::form("Lift left after lash", "valve ratio lobe= ratio= lash="))
        .action(Action::send("Does lash matter to piston-to-valve", "page piston-to-valve-rules"))
}

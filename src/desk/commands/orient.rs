//! `orient skerry-v8 3`, `orient skerry-v8`: which way rod and piston go in, with a figure to hold beside the block.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::pictures;
use crate::desk::reply::{Action, Block, Cell, Loudness, Reply, Table, Value};
use crate::desk::{Context, Refusal, Trouble};
use crate::drawing::{engine_map, orientation};
use crate::engine::orientation::{Chamfer, OnPin, Orientation, Pairing, ReliefsFace};
use crate::engine::{Bank, End, Engine};
use crate::quantity::show;

/// Which engine, and which cylinder of it.
#[derive(Debug, Args)]
#[command(after_help = "orient skerry-v8 3")]
pub struct Orient {
    /// The engine; the current job's where left out.
    pub engine: Option<EngineName>,
    /// The cylinder; the whole engine where left out.
    pub cylinder: Option<u32>,
}

const BASIS: &str =
    "the engine's page; chamfer to the cheek and flats together: common practice; thrust side: slider-crank geometry";

impl Orient {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let (engine, cylinder) = self.meant(context)?;
        let Some(number) = cylinder else { return Ok(whole(engine)) };
        let found = u8::try_from(number).ok().and_then(|n| engine.orientation(n)).ok_or_else(|| {
            let possible = format!("The {} has cylinders 1 to {}.", engine.title, engine.cylinders());
            Refusal::new("cylinder", number.to_string(), possible)
        })?;
        Ok(one(engine, &found, context))
    }
}

impl Orient {
    /// The engine and the cylinder; `orient 3` on a job is its cylinder 3.
    fn meant<'a>(&self, context: &'a Context) -> Result<(&'a Engine, Option<u32>), Trouble> {
        let of_job = context.engine(None)?;
        match (&self.engine, of_job) {
            (None, Some(engine)) => Ok((engine, self.cylinder)),
            (Some(EngineName(text)), Some(engine)) if self.cylinder.is_none() && text.parse::<u32>().is_ok() => {
                Ok((engine, text.parse().ok()))
            }
            (Some(EngineName(name)), _) => Ok((context.named_engine("engine", name)?, self.cylinder)),
            (None, None) => Ok((context.named_engine("engine", "")?, None)),
        }
    }
}

fn one(engine: &Engine, found: &Orientation, context: &Context) -> Reply {
    let n = found.cylinder;
    let chamfer = match found.chamfer {
        Chamfer::FrontCheek => format!("Rod {n}: chamfer to the FRONT cheek"),
        Chamfer::RearCheek => format!("Rod {n}: chamfer to the REAR cheek"),
        Chamfer::BothCheeks => match found.rod_marks {
            Some(aim) => format!("Rod {n}: numbers to the {}", pictures::aim_words(aim).to_uppercase()),
            None => format!("Rod {n} is alone on its pin, a cheek on both sides"),
        },
    };
    let mark = match found.front_mark {
        Some(End::Front) => "piston mark to the FRONT",
        Some(End::Flywheel) => "piston mark to the FLYWHEEL",
        None => "piston mark not given",
    };
    let mut fields = Vec::new();
    if let Some(bank) = found.bank {
        let forward = engine.banks().is_some_and(|b| b.forward == bank);
        fields.push((
            "Bank",
            format!("{}, {}{}", bank_word(bank), ordinal(found.place), if forward { "; the forward bank" } else { "" }),
        ));
    }
    fields.push((
        "Crank pin",
        match (found.mate, found.on_pin) {
            (Some(mate), OnPin::Front) => format!("{}, in front of its pin-mate, rod {mate}", found.pin),
            (Some(mate), _) => format!("{}, behind its pin-mate, rod {mate}", found.pin),
            (None, _) => format!("{}, alone", found.pin),
        },
    ));
    match found.pairing {
        Some(Pairing::MarkOverChamfer) => {
            fields.push(("In the hand", "the piston's mark and the rod's chamfered side on the same side".to_owned()));
        }
        Some(Pairing::MarkOverFlat) => {
            fields.push(("In the hand", "the piston's mark over the rod's FLAT side".to_owned()));
        }
        None => {}
    }
    let reliefs = match found.reliefs {
        ReliefsFace::Toward(aim) => format!("toward the {}", pictures::aim_words(aim)),
        ReliefsFace::Nowhere => "none, or alike on both sides".to_owned(),
        ReliefsFace::NotGiven => "not given on the engine's page".to_owned(),
    };
    fields.push(("Valve reliefs", reliefs));
    if let Some(aim) = found.rod_marks {
        fields.push(("Rod numbers", format!("face the {}", pictures::aim_words(aim))));
    }
    fields.push(("Major thrust", format!("on the {}", pictures::aim_words(found.major_thrust))));
    if let Some((offset, aim)) = found.pin_offset {
        let lead = context.lead_with(&[], Some(engine));
        fields.push(("Pin offset", format!("{} toward the {}", show::length(offset, lead), pictures::aim_words(aim))));
    }
    fields.push(("Same batch", found.batch.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")));
    let mut reply = Reply::new(format!("{chamfer}; {mark}"))
        .fields(fields)
        .figure(figure(engine, found))
        .value(Value::plain("cylinder", f64::from(n)))
        .value(Value::plain("pin", f64::from(found.pin)));
    if let Some(mate) = found.mate {
        reply = reply.value(Value::plain("mate", f64::from(mate)));
    }
    reply = finish(reply, engine);
    if let Some(mate) = found.mate {
        reply = reply.action(Action::send(format!("Its pin-mate, {mate}"), format!("orient {} {mate}", engine.id)));
    }
    reply
        .action(Action::send("The whole engine", format!("orient {}", engine.id)))
        .action(Action::send("Ring gaps", format!("clock {}", engine.id)))
}

fn figure(engine: &Engine, found: &Orientation) -> crate::drawing::Figure {
    let pin = match (found.mate, found.on_pin) {
        (Some(mate), OnPin::Front) => orientation::Pin::Shared { place: crate::drawing::End::Front, mate },
        (Some(mate), _) => orientation::Pin::Shared { place: crate::drawing::End::Rear, mate },
        (None, _) => orientation::Pin::Alone,
    };
    let mut notes = Vec::new();
    if found.front_mark.is_none() {
        notes.push("The engine's page does not say where the piston's mark points: look it up.".to_owned());
    }
    orientation::draw(&orientation::Orientation {
        heading: format!("{}, cylinder {}", engine.title, found.cylinder),
        cylinders: pictures::cylinders(engine),
        rotation: pictures::rotation(engine),
        cylinder: found.cylinder,
        pin,
        chamfer: pictures::chamfer_end(found.chamfer),
        front_mark: found.front_mark.map(pictures::end),
        reliefs: match found.reliefs {
            ReliefsFace::Toward(aim) => Some(pictures::facing(aim)),
            ReliefsFace::Nowhere | ReliefsFace::NotGiven => None,
        },
        thrust: Some(pictures::facing(found.major_thrust)),
        notes,
    })
}

fn whole(engine: &Engine) -> Reply {
    let all = engine.orientations();
    let rows = all.iter().map(|found| {
        let mut number = Cell::from(found.cylinder.to_string());
        number.line = Some(format!("orient {} {}", engine.id, found.cylinder));
        let chamfer = match found.chamfer {
            Chamfer::FrontCheek => "front",
            Chamfer::RearCheek => "rear",
            Chamfer::BothCheeks => "both",
        };
        let mate = found.mate.map_or("alone".to_owned(), |m| m.to_string());
        let bank = found.bank.map_or("-", bank_word);
        vec![number, bank.into(), found.pin.to_string().into(), mate.into(), chamfer.into()]
    });
    let table = Table {
        caption: String::new(),
        header: ["Cylinder", "Bank", "Pin", "Pin-mate", "Chamfer"].map(String::from).to_vec(),
        rows: rows.collect(),
    };
    let title = match engine.banks() {
        Some(banks) if banks.shared_pins => format!(
            "{}: {} bank rods chamfer to the FRONT, {} bank to the REAR",
            engine.title,
            bank_word(banks.forward),
            bank_word(banks.forward.other())
        ),
        _ => format!("{}: every rod is alone on its pin", engine.title),
    };
    let map = engine_map::draw(&engine_map::EngineMap {
        heading: engine.title.clone(),
        cylinders: pictures::cylinders(engine),
        rotation: pictures::rotation(engine),
        fitted: all
            .iter()
            .map(|found| engine_map::Fitted {
                cylinder: found.cylinder,
                chamfer: pictures::chamfer_end(found.chamfer),
                front_mark: found.front_mark.map(pictures::end),
            })
            .collect(),
        pins: (1..=engine.pin_count()).map(|pin| engine.on_pin(pin)).collect(),
        notes: Vec::new(),
    });
    finish(Reply::new(title).figure(map).block(Block::Table(table)), engine)
        .action(Action::form("One cylinder", format!("orient {}", engine.id)))
        .action(Action::send("Ring gaps", format!("clock {}", engine.id)))
}

fn finish(mut reply: Reply, engine: &Engine) -> Reply {
    for caution in engine.cautions() {
        reply = reply.caution(Loudness::Caution, pictures::caution_words(caution));
    }
    reply
        .caution(Loudness::Note, "Left and right are those of a person at the flywheel end looking forward.")
        .sources([BASIS])
        .action(Action::send("How to check it", "page rod-and-piston-orientation"))
}

fn bank_word(bank: Bank) -> &'static str {
    match bank {
        Bank::Left => "left",
        Bank::Right => "right",
    }
}

fn ordinal(place: u8) -> String {
    match place {
        1 => "1st from the front".to_owned(),
        2 => "2nd from the front".to_owned(),
        3 => "3rd from the front".to_owned(),
        n => format!("{n}th from the front"),
    }
}

//! `bolt order 2 5 torque=65lb-ft`, `bolt order circle=8`: which bolt after which, and in what stages.

use clap::Args;

use super::heeded;
use crate::desk::reply::{Action, Block, Cell, Reply, Table, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::drawing::bolt_order;
use crate::maths::tightening::{self, Pattern};
use crate::quantity::{Given, Measure, Torque, show};

/// How the bolts lie, and the final torque.
#[derive(Debug, Args)]
#[command(after_help = "bolt order 2 5 torque=65lb-ft")]
pub struct Order {
    /// Rows of bolts, side to side.
    pub rows: Option<u32>,
    /// Bolts in each row, front to rear.
    pub columns: Option<u32>,
    /// Bolts in a circle, in place of rows.
    #[arg(long, conflicts_with_all = ["rows", "columns"])]
    pub circle: Option<u32>,
    /// Final torque, to be told what each stage is.
    #[arg(long)]
    pub torque: Option<Given<Torque>>,
    /// Stages to the final torque, 1 to 5.
    #[arg(long, default_value = "3")]
    pub stages: u32,
}

impl Order {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(None)?;
        let lean = context.lean(engine);
        let pattern = match (self.rows, self.columns, self.circle) {
            (None, None, Some(bolts)) => Pattern::Circle(bolts),
            (Some(rows), Some(columns), _) => Pattern::Grid { rows, columns },
            (Some(_), None, _) => {
                return Err(Refusal::new("columns", "", "How many bolts are in each row, front to rear?").into());
            }
            _ => return Err(Refusal::new("rows", "", "Rows and columns, such as bolt order 2 5; or circle=8.").into()),
        };
        let order = tightening::order(pattern).or_refuse(&[])?;
        let shares = tightening::stages(self.stages).or_refuse(&[])?;
        let torque = self.torque.as_ref().map(|t| context.quantity("torque", t, lean)).transpose()?;
        let lead = context.lead_with(&[self.torque.as_ref().and_then(Given::system)], engine);
        if let (Some(torque), Some(given)) = (torque, &self.torque) {
            tightening::believable("torque", torque).or_refuse(&[("torque", given.written())])?;
        }
        let rows = shares.iter().enumerate().map(|(at, share)| {
            let mut cells: Vec<Cell> =
                vec![(at + 1).to_string().into(), format!("{} %", show::number(share * 100.0)).into()];
            cells.extend(torque.map(|t| Cell::from(show::torque(t * *share, lead))));
            cells
        });
        let mut header = ["Stage", "Of the final torque"].map(String::from).to_vec();
        header.extend(torque.map(|_| "Torque".to_owned()));
        let stages = Table { caption: String::new(), header, rows: rows.collect() };
        // Place by place: which turn it has.
        let mut turns = vec![0; order.len()];
        for (turn, place) in order.iter().enumerate() {
            if let Some(slot) = turns.get_mut(*place) {
                *slot = turn as u32 + 1;
            }
        }
        let (heading, layout, lie) = match pattern {
            Pattern::Circle(bolts) => {
                let by_place = format!("clockwise from the top: {}", list(&turns));
                (
                    format!("{bolts} bolts in a circle: across and across"),
                    bolt_order::Layout::Circle(turns),
                    vec![by_place],
                )
            }
            Pattern::Grid { columns, .. } => {
                let rows: Vec<Vec<u32>> = turns.chunks(columns as usize).map(<[u32]>::to_vec).collect();
                let said = rows
                    .iter()
                    .enumerate()
                    .map(|(at, row)| format!("row {} from the left, front to rear: {}", at + 1, list(row)))
                    .collect();
                (format!("{} bolts: from the middle outwards", order.len()), bolt_order::Layout::Rows(rows), said)
            }
        };
        let figure = bolt_order::draw(&bolt_order::BoltOrder {
            heading: heading.clone(),
            layout,
            stages: stages
                .rows
                .iter()
                .map(|row| {
                    let rest: Vec<&str> = row.iter().skip(1).map(|c| c.text.as_str()).collect();
                    format!("stage {}: {}", row.first().map_or("", |c| c.text.as_str()), rest.join(", "))
                })
                .collect(),
        });
        let mut reply = Reply::new(heading)
            .figure(figure)
            .block(Block::Bullets(lie))
            .block(Block::Table(stages))
            .text("Every bolt at one stage before any at the next. Slacken in the reverse order, a little at a time.")
            .sources(["common practice: from the middle outwards, crossing over, in stages"])
            .value(Value::plain("bolts", order.len() as f64));
        if let Some(torque) = torque {
            for (at, share) in shares.iter().enumerate() {
                let name = format!("stage_{}", at + 1);
                reply = reply.value(Value::si(&name, Torque::DIMENSION, torque.si() * share, lead));
            }
        }
        Ok(heeded(reply.action(Action::send("Tightening order", "page tightening-order"))))
    }
}

fn list(turns: &[u32]) -> String {
    turns.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

//! `valve seat outer=1.940in inner=1.840in head=2.020in valve=intake`, or `valve seat width=0.060in valve=intake`.

use clap::Args;

use super::ValveName;
use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::yardstick::Wanted;
use crate::desk::{Context, Refusal, Trouble};
use crate::engine::limits::Sizes;
use crate::maths::valves;
use crate::quantity::{Angle, Given, Length, Measure, show};

/// The contact's diameters, or its width as read along the face.
#[derive(Debug, Args)]
#[command(after_help = "valve seat outer=1.950in inner=1.865in head=2.000in valve=intake")]
pub struct Seat {
    /// Outer diameter of the contact, in blue on the valve's face.
    #[arg(long, requires = "inner")]
    pub outer: Option<Given<Length>>,
    /// Inner diameter of the contact.
    #[arg(long, requires = "outer")]
    pub inner: Option<Given<Length>>,
    /// Width as read along the face, in place of the diameters.
    #[arg(long, conflicts_with_all = ["outer", "inner"])]
    pub width: Option<Given<Length>>,
    /// Outer edge of the valve's face, on diameter.
    #[arg(long, requires = "outer")]
    pub head: Option<Given<Length>>,
    /// Seat angle, from the plane of the valve head.
    #[arg(long, default_value = "45")]
    pub angle: Given<Angle>,
    /// Whose limits.
    #[arg(long, required = true)]
    pub valve: ValveName,
    /// Take limits from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Seat {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let sizes = [("outer", &self.outer), ("inner", &self.inner), ("width", &self.width), ("head", &self.head)];
        let given = || sizes.iter().filter_map(|(name, given)| given.as_ref().map(|g| (*name, g)));
        let lean = given().find_map(|(_, g)| g.system()).or(context.lean(engine));
        let lead = context.lead_with(&[lean], engine);
        let mut typed: Vec<_> = given().map(|(name, g)| (name, g.written())).collect();
        typed.push(("angle", self.angle.written()));
        let read = |name: &str, given: &Given<Length>| context.quantity(name, given, lean);
        let mut fields = Vec::new();
        let (width, working, values) = match (&self.outer, &self.inner, &self.width) {
            (Some(outer), Some(inner), _) => {
                let (outer, inner) = (read("outer", outer)?, read("inner", inner)?);
                let head = self.head.as_ref().map(|g| read("head", g)).transpose()?;
                let angle = context.quantity("angle", &self.angle, None)?;
                let sum = valves::seat(outer, inner, angle, head).or_refuse(&typed)?;
                let working = format!(
                    "({} - {}) / 2 / cos {} = {} along the face",
                    show::length_in(outer, lead),
                    show::length_in(inner, lead),
                    show::angle(angle),
                    show::length_in(sum.width, lead)
                );
                let mut values = vec![Value::length("mean_diameter", sum.mean_diameter, lead)];
                if let Some(edge) = sum.to_edge {
                    fields.push((
                        "Edge of the face",
                        format!("{} beyond the contact, radially", show::length(edge, lead)),
                    ));
                    values.push(Value::length("to_edge", edge, lead));
                }
                fields.push(("Mean diameter", show::length(sum.mean_diameter, lead)));
                (sum.width, Some(working), values)
            }
            (_, _, Some(width)) => (valves::seat_width(read("width", width)?).or_refuse(&typed)?, None, Vec::new()),
            _ => {
                let possible = "Give outer= and inner= of the contact in blue, or width= as read along the face.";
                return Err(Refusal::new("outer", "", possible).into());
            }
        };
        let mut reply = Reply::new(format!("Seat width {} along the face", show::length(width, lead)));
        if let Some(working) = working {
            reply = reply.working([working]);
        }
        reply = reply.value(Value::length("width", width, lead));
        for value in values {
            reply = reply.value(value);
        }
        let at = self.valve.part();
        let wanted =
            Wanted { measure: "valve seat width", at, engine, duty: None, sizes: Sizes::default(), overrides: None };
        if let Some(held) = context.limit(wanted) {
            let verdict = held.verdict(width.si(), context.doubt("width"));
            fields.insert(0, ("Limit", held.said(lead)));
            reply = reply.verdict(verdict).fields(fields).figure(held.strip(
                format!("Seat width, {at}"),
                lead,
                width.si(),
                context.doubt("width"),
                verdict,
            ));
        } else {
            reply = reply.fields(fields).text("No limit: hold it against the engine maker's sheet.");
        }
        Ok(reply
            .text("A flatter cut above (15 or 30 degrees) takes the contact's outer edge in; a steeper one below (60 degrees and more) takes its inner edge out. Keep the contact off the edge of the face; narrow seats seal, wide ones cool, so the exhaust wants the wider.")
            .caution(Loudness::Important, "Guide first, seat after: a new guide moves the seat. Prove the contact all round with blue and the seal with vacuum or fluid; the head maker's width and angle win.")
            .sources(["geometry: width along the face = difference of radii / cos(angle)"])
            .action(Action::send("Guides and springs", "page valve-guides-and-springs")))
    }
}

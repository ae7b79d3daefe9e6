//! `cylinder mill cut=0.010in bore=4.030in`: volume a cut takes; `cylinder mill volume=3cc area="11.2 sq in"`: the cut for it.

use clap::Args;

use crate::desk::form::EngineName;
use crate::desk::reply::{Action, Loudness, Reply, Value};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::faces;
use crate::quantity::{Area, Dimension, Given, Length, Measure, Share, System, Volume, inches, show};

/// A cut or a volume, over an area or a bore.
#[derive(Debug, Args)]
#[command(after_help = "cylinder mill cut=0.010in bore=4.030in share=80%")]
pub struct Mill {
    /// Metal taken off the face.
    #[arg(long)]
    pub cut: Option<Given<Length>>,
    /// In place of cut: the volume wanted off.
    #[arg(long, conflicts_with = "cut")]
    pub volume: Option<Given<Volume>>,
    /// Opening that the cut passes over, traced from the chamber's face.
    #[arg(long)]
    pub area: Option<Given<Area>>,
    /// In place of area: the bore, for a deck; the engine's where left out.
    #[arg(long, conflicts_with = "area")]
    pub bore: Option<Given<Length>>,
    /// With the bore: how much of its circle a chamber's opening covers.
    #[arg(long, conflicts_with = "area")]
    pub share: Option<Given<Share>>,
    /// Take the bore from this engine's page.
    #[arg(long)]
    pub engine: Option<EngineName>,
}

impl Mill {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let engine = context.engine(self.engine.as_ref())?;
        let systems = [
            self.cut.as_ref().and_then(Given::system),
            self.bore.as_ref().and_then(Given::system),
            self.area.as_ref().and_then(Given::system),
        ];
        let lean = systems.into_iter().flatten().next().or(context.lean(engine));
        let lead = context.lead_with(&systems, engine);
        let mut typed = Vec::new();
        typed.extend(self.cut.as_ref().map(|g| ("cut", g.written())));
        typed.extend(self.volume.as_ref().map(|g| ("volume", g.written())));
        typed.extend(self.area.as_ref().map(|g| ("area", g.written())));
        typed.extend(self.bore.as_ref().map(|g| ("bore", g.written())));
        typed.extend(self.share.as_ref().map(|g| ("share", g.written())));
        let (area, face) = match &self.area {
            Some(area) => (context.quantity("area", area, lean)?, None),
            None => {
                let possible = "The opening the cut passes over: area= in sq in or cm2; or bore=; or engine=.";
                let own = engine.map(|e| e.bore);
                if self.bore.is_none() && own.is_none() {
                    return Err(Refusal::new("area", "", possible).into());
                }
                let bore = context.size("bore", self.bore.as_ref(), own, lean)?;
                let share = match &self.share {
                    Some(share) => context.quantity("share", share, None)?.0,
                    None => 1.0,
                };
                let area = faces::face(bore, share).or_refuse(&typed)?;
                let part = if share == 1.0 { String::new() } else { format!(" x {}", show::share(Share(share))) };
                let line = format!("pi/4 x {}²{part} = {}", show::length_in(bore, lead), show::area(area, lead));
                (area, Some(line))
            }
        };
        let sum = match (&self.cut, &self.volume) {
            (Some(cut), _) => faces::volume_of(area, context.quantity("cut", cut, lean)?),
            (None, Some(volume)) => faces::cut_for(area, context.quantity("volume", volume, Some(lead))?),
            (None, None) => {
                return Err(
                    Refusal::new("cut", "", "What comes off: cut=, such as 0.010in; or volume=, such as 3cc.").into()
                );
            }
        }
        .or_refuse(&typed)?;
        // Volumes are poured in cc in inch shops too.
        let (volume, cut) = (show::volume(sum.volume, System::Metric), show::length(sum.cut, lead));
        let (one, step) = match lead {
            System::Inch => ("0.001 in", inches(0.001)),
            System::Metric => ("0.1 mm", Length::from_si(1e-4)),
        };
        let per = show::fixed((sum.area * step).si() * 1e6, 2);
        let (title, line) = if self.cut.is_some() {
            let line = format!("{} x {} = {volume}", show::area(area, lead), show::length_in(sum.cut, lead));
            (format!("A cut of {cut} takes {volume}"), line)
        } else {
            let line = format!("{volume} / {} = {}", show::area(area, lead), show::length_in(sum.cut, lead));
            (format!("Cut {cut} for {volume}"), line)
        };
        Ok(Reply::new(title)
            .working(face.into_iter().chain([line]))
            .fields([(format!("Each {one}"), format!("{per} cc"))])
            .value(Value::length("cut", sum.cut, lead))
            .value(Value::si("volume", Dimension::Volume, sum.volume.si(), lead))
            .value(Value::si("area", Dimension::Area, sum.area.si(), lead))
            .action(Action::form("Compression after it", "cylinder compression"))
            .caution(Loudness::Important, "A chamber narrows as it goes up, so this holds for a light cut; pour it again after. A cut brings the valves as much nearer the piston, changes the squish (deck cuts), the manifold faces of a V engine and the pushrods' length. The least thickness of a head is its maker's to say.")
            .sources(["definition: area x cut"]))
    }
}

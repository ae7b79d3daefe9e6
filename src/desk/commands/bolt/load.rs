//! The load of a bolt as a command is given it: a preload, or a grade (or proof strength) and a share of it.

use super::grade::{GradeName, source};
use super::thread::{Named, area_source, area_working};
use crate::desk::sense::OrRefuse;
use crate::desk::{Context, Refusal, Trouble};
use crate::maths::bolts::{self, Preload};
use crate::maths::grades::Band;
use crate::quantity::{Dimension, Force, Given, Measure, Pressure, Share, System, show};

/// What was typed for it.
pub struct Asked<'a> {
    pub grade: Option<GradeName>,
    pub proof: Option<&'a Given<Pressure>>,
    pub share: Option<&'a Given<Share>>,
    pub preload: Option<&'a Given<Force>>,
}

/// The share of proof a bolt that is not turned to yield is usually given.
pub const USUAL: Share = Share(0.75);

/// A load, how it came about, and what the bolt could bear.
pub struct Load {
    pub force: Force,
    pub working: Vec<String>,
    pub sources: Vec<String>,
    pub strength: Strength,
}

/// What is known of how strong the bolt is.
#[derive(Clone, Copy)]
pub struct Strength {
    /// At the proof load.
    pub proof: Option<Force>,
    pub band: Option<&'static Band>,
}

impl Asked<'_> {
    /// The proof strength and where it stands; none where neither grade nor proof was given.
    pub fn proof(
        &self,
        context: &Context,
        named: &Named,
        lean: Option<System>,
    ) -> Result<Option<(Pressure, String)>, Trouble> {
        match (self.grade, self.proof) {
            (Some(_), Some(proof)) => {
                Err(Refusal::new("proof", &proof.written().text, "Give the grade or the proof strength, not both.")
                    .into())
            }
            (Some(grade), None) => {
                let (grade, band) = grade.band(named)?;
                Ok(Some((band.proof(), format!("{} (from memory)", source(grade)))))
            }
            (None, Some(proof)) => {
                let typed = [("proof", proof.written())];
                let value = context.quantity("proof", proof, lean)?;
                bolts::preload(&named.thread, value, USUAL).or_refuse(&typed)?;
                Ok(Some((value, "the proof strength given".to_owned())))
            }
            (None, None) => Ok(None),
        }
    }

    /// What is known of the bolt's strength.
    pub fn strength(&self, context: &Context, named: &Named, lean: Option<System>) -> Result<Strength, Trouble> {
        let proof = self.proof(context, named, lean)?;
        let load = proof.map(|(p, _)| bolts::preload(&named.thread, p, Share(1.0)).or_refuse(&[])).transpose()?;
        let band = self.grade.map(|g| g.band(named)).transpose()?.map(|(_, band)| band);
        Ok(Strength { proof: load.map(|l| l.proof_load), band })
    }

    /// Preload by share of proof. Refuses a missing grade.
    pub fn by_share(
        &self,
        context: &Context,
        named: &Named,
        lean: Option<System>,
        lead: System,
    ) -> Result<(Preload, Load), Trouble> {
        let Some((proof, basis)) = self.proof(context, named, lean)? else {
            return Err(Refusal::new(
                "grade",
                "",
                "The mark on the head, such as 10.9 or grade-8; or proof= from its sheet.",
            )
            .into());
        };
        let share = self.share.map_or(Ok(USUAL), |s| context.quantity("share", s, None))?;
        let mut typed = Vec::new();
        typed.extend(self.share.map(|s| ("share", s.written())));
        typed.extend(self.proof.map(|p| ("proof", p.written())));
        let sum = bolts::preload(&named.thread, proof, share).or_refuse(&typed)?;
        let said = if self.share.is_some() { "" } else { " (three quarters, as is usual)" };
        let working = vec![
            area_working(&named.thread, lead),
            format!(
                "preload {}{said} x {} proof x area = {}",
                show::share(share),
                show::any_in(Dimension::Pressure, proof.si(), lead),
                show::force(sum.preload, lead)
            ),
        ];
        let sources = vec![basis, area_source(&named.thread).to_owned()];
        let strength = self.strength(context, named, lean)?;
        Ok((sum, Load { force: sum.preload, working, sources, strength }))
    }

    /// The preload given, or that by share.
    pub fn load(&self, context: &Context, named: &Named, lean: Option<System>, lead: System) -> Result<Load, Trouble> {
        let Some(given) = self.preload else {
            if self.grade.is_none() && self.proof.is_none() {
                let possible =
                    "A preload such as 9000 lbf or 40 kN; or the grade, for three quarters of its proof load.";
                return Err(Refusal::new("preload", "", possible).into());
            }
            return Ok(self.by_share(context, named, lean, lead)?.1);
        };
        if let Some(share) = self.share {
            let possible = "It goes with a grade or proof; a preload stands by itself.";
            return Err(Refusal::new("share", &share.written().text, possible).into());
        }
        let force = context.quantity("preload", given, lean)?;
        let strength = self.strength(context, named, lean)?;
        let working = vec![format!("preload {}, as given", show::force(force, lead))];
        Ok(Load { force, working, sources: Vec::new(), strength })
    }
}

impl Strength {
    /// `71.4 % of the proof load`; nothing where no grade was given.
    pub fn share_of(&self, force: Force) -> Option<String> {
        self.proof.map(|proof| format!("{} of the proof load", show::share(Share(force.si() / proof.si()))))
    }

    /// The load at which the bolt yields; none where no grade was given.
    pub fn yields_at(&self, area: f64) -> Option<Force> {
        self.band.map(|band| Force::from_si(band.yielding().si() * area))
    }

    /// What to be told of a load past what the bolt is for.
    pub fn warning(&self, force: Force, area: f64) -> Option<&'static str> {
        let past = |limit: f64| force.si() > limit * (1.0 + 1e-9);
        let at = |p: Pressure| p.si() * area;
        match (self.band, self.proof) {
            (Some(band), _) if past(at(band.tensile())) => Some("This is more than the bolt can bear: it breaks."),
            (Some(band), _) if past(at(band.yielding())) => {
                Some("This is past yield: the bolt stays longer for good, and the elastic sum no longer holds.")
            }
            (_, Some(proof)) if past(proof.si()) => {
                Some("This is past the proof load: only a bolt made to be turned to yield is tightened so far.")
            }
            _ => None,
        }
    }
}

//! From the engine model to what the drawing board takes, and to the words for a direction.

use crate::drawing::orientation::{Facing, Toward as Arrow};
use crate::drawing::plan::{Banks as DrawnBanks, Cylinders, Rotation as DrawnRotation};
use crate::drawing::{self, ring_clock};
use crate::engine::orientation::{Aim, Caution, Chamfer, Toward};
use crate::engine::{Bank, Banks, End, Engine, Layout, Ring, Rotation, Side};

pub fn cylinders(engine: &Engine) -> Cylinders {
    let banks = |banks: &Banks| DrawnBanks {
        left: banks.left.clone(),
        right: banks.right.clone(),
        forward: match banks.forward {
            Bank::Left => drawing::Side::Left,
            Bank::Right => drawing::Side::Right,
        },
    };
    match &engine.layout {
        Layout::Inline(row) => Cylinders::Inline(row.clone()),
        Layout::V { banks: two, .. } => Cylinders::Vee(banks(two)),
        Layout::Flat(two) => Cylinders::Flat(banks(two)),
    }
}

pub fn rotation(engine: &Engine) -> DrawnRotation {
    match engine.rotation {
        Rotation::Clockwise => DrawnRotation::Clockwise,
        Rotation::CounterClockwise => DrawnRotation::CounterClockwise,
    }
}

pub fn side(side: Side) -> drawing::Side {
    match side {
        Side::Left => drawing::Side::Left,
        Side::Right => drawing::Side::Right,
    }
}

pub fn end(end: End) -> drawing::End {
    match end {
        End::Front => drawing::End::Front,
        End::Flywheel => drawing::End::Rear,
    }
}

/// The end a chamfer faces; none where a rod stands alone between two cheeks.
pub fn chamfer_end(chamfer: Chamfer) -> Option<drawing::End> {
    match chamfer {
        Chamfer::FrontCheek => Some(drawing::End::Front),
        Chamfer::RearCheek => Some(drawing::End::Rear),
        Chamfer::BothCheeks => None,
    }
}

pub fn ring(ring: Ring) -> ring_clock::Ring {
    match ring {
        Ring::Top => ring_clock::Ring::Top,
        Ring::Second => ring_clock::Ring::Second,
        Ring::UpperRail => ring_clock::Ring::UpperRail,
        Ring::LowerRail => ring_clock::Ring::LowerRail,
        Ring::Expander => ring_clock::Ring::Expander,
    }
}

/// A direction on the piston's picture, with the shop's word for it.
pub fn facing(aim: Aim) -> Facing {
    let toward = match aim.side {
        Side::Left => Arrow::Left,
        Side::Right => Arrow::Right,
    };
    Facing { toward, words: aim_words(aim).to_owned() }
}

/// `valley side`, `outside`, `left`: how a direction is said.
pub fn aim_words(aim: Aim) -> &'static str {
    match aim.toward {
        Toward::Valley => "valley side",
        Toward::Outside => "outside",
        Toward::Top => "top of the engine",
        Toward::Bottom => "bottom of the engine",
        Toward::Left => "left side",
        Toward::Right => "right side",
    }
}

/// What a person must be told about the engine.
pub fn caution_words(caution: Caution) -> &'static str {
    match caution {
        Caution::CapsStay => "Caps stay with their own rods and housings, and never turn round.",
        Caution::ReverseRotation => {
            "Reverse rotation: seal lip, front mark, pin offset, cam gear, firing order, starter and oil pump drive may differ. Check each against the maker's sheet."
        }
        Caution::FlatsFaceEachOther => {
            "The chamfered side faces the crank cheek; the flat sides face each other. A rod turned round rides its edge on the fillet, and the crank may not turn."
        }
        Caution::BatchByBank => {
            "Piston to rod is mirror-image between the banks: assemble each bank as its own batch, and mark it with a paint pen first."
        }
        Caution::NumberOneNotForward => "Number one is not the front cylinder of the forward bank on this engine.",
        Caution::MarkToFlywheel => "The piston's mark points to the flywheel on this engine, not to the front.",
        Caution::FrontMarkNotGiven => {
            "The engine's page does not say where the piston's mark points: look it up before a piston goes on a rod."
        }
        Caution::ReliefsNotGiven => {
            "The engine's page does not say where the valve reliefs face: hold a head to the block."
        }
    }
}

//! Which way round each rod and piston goes, from the engine's layout. Data only; the desk finds the words.
//!
//! **Rods.** Of two rods on one crank pin, the forward bank's is in front. Each is chamfered on one side, and the
//! chamfer faces the crank cheek, where the fillet is; the flat sides face each other (common practice). A rod alone on its
//! pin has a cheek on both sides.
//!
//! **Major thrust.** Seen from the front, a crank that turns clockwise has its pin to the right of the bore's axis while
//! the charge burns, so the rod leans from the piston down to the right. It is in compression, and pushes the piston up
//! and to the left: the left wall as seen from the front takes the major thrust, which is the right wall for someone at the
//! rear looking forward. The other rotation is its mirror image. Leaning the bore over, for a V or flat engine,
//! turns the whole picture about the crank and leaves each bore's own right and left as they were: clockwise, the major
//! side is the valley side of the left bank and the outside of the right bank. (Trade rule, the same: facing the front of an
//! engine that turns clockwise, the major thrust face is on the left of the cylinder.)

use super::model::{Bank, Banks, End, Engine, Facing, Layout, Reliefs, Rotation, Side};
use crate::quantity::Length;

/// Where a rod rides among those on its crank pin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OnPin {
    Front,
    Rear,
    Alone,
}

/// Which crank cheek a rod's chamfer faces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Chamfer {
    FrontCheek,
    RearCheek,
    /// A rod alone on its pin: a cheek on both sides.
    BothCheeks,
}

/// Piston to rod, held in the hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Pairing {
    /// The piston's mark is over the rod's chamfered side.
    MarkOverChamfer,
    /// The piston's mark is over the rod's flat side.
    MarkOverFlat,
}

/// A direction across the engine in the words of its layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Toward {
    Valley,
    Outside,
    /// Up, on a flat engine.
    Top,
    /// Down, on a flat engine.
    Bottom,
    Left,
    Right,
}

/// A direction across the engine: as the side of the bore stood upright, and in the words of the layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Aim {
    pub side: Side,
    pub toward: Toward,
}

/// Where the valve reliefs face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ReliefsFace {
    /// The engine's page does not say.
    NotGiven,
    /// There are none, or the same on both sides.
    Nowhere,
    Toward(Aim),
}

/// How the parts of one cylinder go in.
#[derive(Debug, Clone, PartialEq)]
pub struct Orientation {
    pub cylinder: u8,
    /// None in line.
    pub bank: Option<Bank>,
    /// Place in the bank or row, 1 at the front.
    pub place: u8,
    /// Crank pin, 1 at the front.
    pub pin: u8,
    /// The other cylinder on that pin.
    pub mate: Option<u8>,
    pub on_pin: OnPin,
    pub chamfer: Chamfer,
    /// Where the piston's mark points; none when the engine's page does not say.
    pub front_mark: Option<End>,
    /// None for a rod alone on its pin, or when the mark is not known.
    pub pairing: Option<Pairing>,
    pub reliefs: ReliefsFace,
    /// Where rod numbers or tangs face, when the page says.
    pub rod_marks: Option<Aim>,
    pub major_thrust: Aim,
    /// How far and which way the gudgeon pin stands off the middle of the piston.
    pub pin_offset: Option<(Length, Aim)>,
    /// The cylinders assembled the same way as this one, front to rear, itself among them.
    pub batch: Vec<u8>,
}

/// What a person must be told about the engine as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Caution {
    /// Caps stay with their rods and housings, and never turn round. Always.
    CapsStay,
    /// Seal, front mark, pin offset, cam gear, firing order, starter and oil pump drive may differ.
    ReverseRotation,
    /// A rod turned round rides its edge on the fillet.
    FlatsFaceEachOther,
    /// Pistons go on rods the mirror way in the two banks: one batch for each.
    BatchByBank,
    /// Cylinder 1 is not the front one of the forward bank.
    NumberOneNotForward,
    /// The piston's mark points to the flywheel.
    MarkToFlywheel,
    FrontMarkNotGiven,
    ReliefsNotGiven,
}

impl Engine {
    /// How a cylinder's parts go in; none for a number this engine does not have.
    pub fn orientation(&self, cylinder: u8) -> Option<Orientation> {
        let seat = self.seat(cylinder)?;
        let pin = self.pin_of(cylinder)?;
        let mate = self.on_pin(pin).into_iter().find(|&other| other != cylinder);
        let on_pin = match (mate, self.banks()) {
            (Some(_), Some(banks)) if seat.bank == Some(banks.forward) => OnPin::Front,
            (Some(_), _) => OnPin::Rear,
            (None, _) => OnPin::Alone,
        };
        let (chamfer, chamfered_end) = match on_pin {
            OnPin::Front => (Chamfer::FrontCheek, Some(End::Front)),
            OnPin::Rear => (Chamfer::RearCheek, Some(End::Flywheel)),
            OnPin::Alone => (Chamfer::BothCheeks, None),
        };
        let pairing = self
            .front_mark
            .zip(chamfered_end)
            .map(|(mark, chamfered)| if mark == chamfered { Pairing::MarkOverChamfer } else { Pairing::MarkOverFlat });
        let aim = |facing| self.aim(seat.bank, side_of(seat.bank, facing));
        let major_thrust = self.aim(seat.bank, self.major_side());
        let minor_thrust = self.aim(seat.bank, self.major_side().other());
        Some(Orientation {
            cylinder,
            bank: seat.bank,
            place: seat.place,
            pin,
            mate,
            on_pin,
            chamfer,
            front_mark: self.front_mark,
            pairing,
            reliefs: match self.reliefs {
                None => ReliefsFace::NotGiven,
                Some(Reliefs::None) => ReliefsFace::Nowhere,
                Some(Reliefs::Toward(facing)) => ReliefsFace::Toward(aim(facing)),
            },
            rod_marks: self.rod_marks.map(aim),
            major_thrust,
            pin_offset: self.pin_offset.filter(|offset| *offset != Length::default()).map(|offset| {
                let way = if offset > Length::default() { major_thrust } else { minor_thrust };
                (offset.abs(), way)
            }),
            batch: match (&self.layout, seat.bank) {
                (Layout::V { banks, .. } | Layout::Flat(banks), Some(bank)) => banks.of(bank).to_vec(),
                (Layout::Inline(row), _) => row.clone(),
                _ => vec![cylinder],
            },
        })
    }

    /// Every cylinder's orientation, in the order of their numbers.
    pub fn orientations(&self) -> Vec<Orientation> {
        (1..=self.cylinders()).filter_map(|cylinder| self.orientation(cylinder)).collect()
    }

    /// The side of every bore, stood upright and seen from the rear, that takes the major thrust.
    pub fn major_side(&self) -> Side {
        match self.rotation {
            Rotation::Clockwise => Side::Right,
            Rotation::CounterClockwise => Side::Left,
        }
    }

    /// What must be said about this engine, weightiest first.
    pub fn cautions(&self) -> Vec<Caution> {
        let front_of = |banks: &Banks| banks.of(banks.forward).first().copied();
        let banks = self.banks();
        [
            (self.rotation == Rotation::CounterClockwise, Caution::ReverseRotation),
            (self.front_mark == Some(End::Flywheel), Caution::MarkToFlywheel),
            (self.front_mark.is_none(), Caution::FrontMarkNotGiven),
            (self.reliefs.is_none(), Caution::ReliefsNotGiven),
            (banks.is_some_and(|banks| front_of(banks) != Some(1)), Caution::NumberOneNotForward),
            (banks.is_some_and(|banks| banks.shared_pins), Caution::FlatsFaceEachOther),
            (banks.is_some(), Caution::BatchByBank),
            (true, Caution::CapsStay),
        ]
        .into_iter()
        .filter_map(|(applies, caution)| applies.then_some(caution))
        .collect()
    }

    /// A side of a bore in the words of this layout.
    fn aim(&self, bank: Option<Bank>, side: Side) -> Aim {
        let inward = bank.map(|bank| side == inward_side(bank));
        let toward = match (&self.layout, inward, side) {
            (Layout::V { .. }, Some(true), _) => Toward::Valley,
            (Layout::V { .. }, Some(false), _) => Toward::Outside,
            (Layout::Flat(_), Some(true), _) => Toward::Top,
            (Layout::Flat(_), Some(false), _) => Toward::Bottom,
            (_, _, Side::Left) => Toward::Left,
            (_, _, Side::Right) => Toward::Right,
        };
        Aim { side, toward }
    }
}

/// The side of a bank's bores that looks at the other bank (on a flat engine, up): each bank leans away from it.
fn inward_side(bank: Bank) -> Side {
    match bank {
        Bank::Left => Side::Right,
        Bank::Right => Side::Left,
    }
}

/// The side of the bore that a page's word means. In line there is no valley, and the reader lets none through.
fn side_of(bank: Option<Bank>, facing: Facing) -> Side {
    match (facing, bank) {
        (Facing::Valley, Some(bank)) => inward_side(bank),
        (Facing::Outside, Some(bank)) => inward_side(bank).other(),
        (Facing::Left, _) | (Facing::Valley, None) => Side::Left,
        (Facing::Right, _) | (Facing::Outside, None) => Side::Right,
    }
}

//! The engine seen from above, FRONT at the top: where each cylinder sits on the picture, the block and the crank.

use super::canvas::Canvas;
use super::style::{CARD, INK, LETTER, PLAIN, Paint, RULE, SMALL, STEEL, WIDTH};
use super::{End, Side};

/// Both banks of a V or flat engine, numbers front to rear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Banks {
    pub left: Vec<u8>,
    pub right: Vec<u8>,
    /// The bank whose first bore sits nearer the front.
    pub forward: Side,
}

/// How the cylinders stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cylinders {
    /// Numbers front to rear.
    Inline(Vec<u8>),
    Vee(Banks),
    Flat(Banks),
}

/// Rotation of the crank as seen by a person in front of the engine looking at it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rotation {
    Clockwise,
    CounterClockwise,
}

impl Rotation {
    /// Where the top of the crank goes. Who faces the engine has its LEFT at their right hand, so clockwise is toward LEFT.
    pub(super) fn top_moves(self) -> Side {
        match self {
            Self::Clockwise => Side::Left,
            Self::CounterClockwise => Side::Right,
        }
    }

    /// The fact a figure prints.
    pub(super) fn words(self) -> String {
        let way = match self {
            Self::Clockwise => "clockwise",
            Self::CounterClockwise => "counter-clockwise",
        };
        format!("Crank turns {way} seen from the front: its top moves to the {}.", self.top_moves().word())
    }
}

impl Cylinders {
    fn banks(&self) -> Option<&Banks> {
        match self {
            Self::Inline(_) => None,
            Self::Vee(banks) | Self::Flat(banks) => Some(banks),
        }
    }

    /// The side of the crank a cylinder is on; none for an in-line engine.
    pub(super) fn side_of(&self, number: u8) -> Option<Side> {
        let banks = self.banks()?;
        [(Side::Left, &banks.left), (Side::Right, &banks.right)]
            .into_iter()
            .find_map(|(side, numbers)| numbers.contains(&number).then_some(side))
    }

    /// One sentence for the alt text.
    pub(super) fn words(&self) -> String {
        let list = |numbers: &[u8]| numbers.iter().map(u8::to_string).collect::<Vec<_>>().join(" ");
        match self {
            Self::Inline(numbers) => format!("In-line, front to rear {}.", list(numbers)),
            Self::Vee(banks) | Self::Flat(banks) => format!(
                "{}, left bank front to rear {}, right bank {}, {} bank forward.",
                if matches!(self, Self::Vee(_)) { "V" } else { "Flat" },
                list(&banks.left),
                list(&banks.right),
                banks.forward.word()
            ),
        }
    }
}

/// One cylinder's place on the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    pub number: u8,
    pub side: Option<Side>,
    pub x: f64,
    pub y: f64,
}

impl Spot {
    /// The side of the picture with free paper beside this cylinder: -1 left, +1 right.
    pub fn outward(&self) -> f64 {
        self.side.map_or(1.0, Side::sign)
    }
}

/// All cylinders placed on the picture.
pub struct Plan<'a> {
    cylinders: &'a Cylinders,
    pub spots: Vec<Spot>,
    pub radius: f64,
    reach: f64,
    top: f64,
    foot: f64,
}

/// The crank's centre line on the picture.
pub const CRANK: f64 = WIDTH / 2.0;
/// From the tip of the FRONT arrow to the block.
const NOSE: f64 = 74.0;

impl<'a> Plan<'a> {
    /// Places cylinders below `top`, banks `reach` from the crank, in about `tall` units of height.
    pub fn lay(cylinders: &'a Cylinders, top: f64, reach: f64, tall: f64) -> Self {
        let rows = match cylinders {
            Cylinders::Inline(numbers) => numbers.len(),
            Cylinders::Vee(banks) | Cylinders::Flat(banks) => banks.left.len().max(banks.right.len()),
        };
        let pitch = (tall / rows.max(1) as f64).clamp(36.0, 48.0);
        let radius = pitch * 0.42;
        let first = top + NOSE + radius + 6.0;
        let column = |numbers: &[u8], side: Option<Side>, behind: f64| -> Vec<Spot> {
            let x = CRANK + side.map_or(0.0, Side::sign) * reach;
            let place = |(row, &number): (usize, &u8)| Spot { number, side, x, y: first + behind + row as f64 * pitch };
            numbers.iter().enumerate().map(place).collect()
        };
        let spots = match cylinders {
            Cylinders::Inline(numbers) => column(numbers, None, 0.0),
            Cylinders::Vee(banks) | Cylinders::Flat(banks) => {
                // The stagger is drawn larger than life: it decides which rod sits forward on the pin.
                let behind = |side| if side == banks.forward { 0.0 } else { pitch * 0.5 };
                let mut all = column(&banks.left, Some(Side::Left), behind(Side::Left));
                all.extend(column(&banks.right, Some(Side::Right), behind(Side::Right)));
                all
            }
        };
        let foot = spots.iter().map(|s| s.y).fold(first, f64::max) + radius + 6.0;
        Self { cylinders, spots, radius, reach, top, foot }
    }

    /// The place of one cylinder.
    pub fn spot(&self, number: u8) -> Option<&Spot> {
        self.spots.iter().find(|s| s.number == number)
    }

    /// Draws everything but the cylinders themselves; returns where the next thing may start.
    pub fn draw_block(&self, canvas: &mut Canvas, rotation: Rotation) -> f64 {
        canvas.front_arrow((CRANK, self.top));
        self.draw_nose(canvas, rotation);
        for side in [None, Some(Side::Left), Some(Side::Right)] {
            self.draw_bank(canvas, side);
        }
        let (ahead, behind) = (self.top + NOSE, self.foot + 4.0);
        canvas.line((CRANK, ahead - 6.0), (CRANK, behind), Paint::line(RULE, 1.5).centre_line());
        self.draw_names(canvas)
    }

    fn draw_nose(&self, canvas: &mut Canvas, rotation: Rotation) {
        let y = self.top + 54.0;
        canvas.rect((CRANK - 26.0, y - 9.0), (52.0, 18.0), 4.0, Paint::fill(STEEL).edged(INK, 1.5));
        let way = rotation.top_moves().sign();
        canvas.arrow((CRANK - way * 20.0, y), (CRANK + way * 20.0, y), INK, 2.5);
        canvas.label((CRANK + 36.0, y), "crank top", SMALL);
    }

    fn draw_bank(&self, canvas: &mut Canvas, side: Option<Side>) {
        let bank = || self.spots.iter().filter(|s| s.side == side);
        let (Some(first), Some(last)) = (bank().next(), bank().next_back()) else { return };
        let out = self.radius + 7.0;
        if let (Cylinders::Flat(_), Some(side)) = (self.cylinders, side) {
            let root = if side == Side::Left { first.x } else { CRANK + 16.0 };
            for spot in bank() {
                let barrel = (self.reach - 16.0, self.radius * 1.5);
                canvas.rect((root, spot.y - barrel.1 / 2.0), barrel, 2.0, Paint::fill(PLAIN).edged(RULE, 1.0));
            }
        }
        let size = (2.0 * out, last.y - first.y + 2.0 * out);
        canvas.rect((first.x - out, first.y - out), size, 12.0, Paint::fill(PLAIN).edged(RULE, 1.5));
    }

    fn draw_names(&self, canvas: &mut Canvas) -> f64 {
        let y = self.foot + 20.0;
        if let Some(banks) = self.cylinders.banks() {
            for side in [Side::Left, Side::Right] {
                let x = CRANK + side.sign() * self.reach;
                canvas.text((x, y), &format!("{} bank", side.word()), SMALL.middle().ink(INK));
                if side == banks.forward {
                    canvas.text((x, y + 18.0), "forward", LETTER.middle());
                }
            }
        }
        let rear = if self.cylinders.banks().is_some() { y + 34.0 } else { y };
        canvas.text((CRANK, rear), End::Rear.word(), LETTER.middle());
        rear + 16.0
    }

    /// Draws one cylinder with its number: round from above, square for the head of a flat engine's barrel.
    pub fn draw_cylinder(&self, canvas: &mut Canvas, spot: &Spot, paint: Paint, ink: &'static str) {
        let r = self.radius;
        match self.cylinders {
            Cylinders::Flat(_) => canvas.rect((spot.x - r, spot.y - r), (2.0 * r, 2.0 * r), 5.0, paint),
            _ => canvas.circle((spot.x, spot.y), r, paint),
        }
        canvas.label((spot.x, spot.y), &spot.number.to_string(), LETTER.middle().ink(ink));
    }

    /// The paint of a cylinder nobody asked about.
    pub fn quiet() -> Paint {
        Paint::fill(CARD).edged(INK, 1.5)
    }
}

//! What each piece of a text means where it stands, and how much of one text's pieces another has.
//!
//! Each piece of a question looks for the piece of a passage that comes nearest to it, and the mean of these says how much of the
//! question the passage speaks of (late interaction: Khattab and Zaharia 2020). Unlike the sense of the whole, it tells sections of a
//! page apart that are all about one thing.

use std::borrow::Cow;

use ndarray::{Array2, ArrayView1, Axis};

use super::{PARTS, in_parts};

/// How many numbers a piece's direction has.
pub(super) const EACH: usize = 64;

/// A piece's direction in whole numbers (`i8` as bytes), as the file of known ones holds it.
pub(super) type Piece = [u8; EACH];

/// The pieces of a text. None of a text that was not read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(in super::super) struct Wording(Cow<'static, [Piece]>);

impl Wording {
    /// Directions of length one, a row a piece.
    pub(super) fn of(each: &Array2<f32>) -> Self {
        let piece = |row: ArrayView1<f32>| {
            let mut piece = [0; EACH];
            piece.iter_mut().zip(row).for_each(|(to, from)| *to = in_parts(*from).cast_unsigned());
            piece
        };
        Self(each.outer_iter().map(piece).collect())
    }

    pub(super) fn known(pieces: &'static [Piece]) -> Self {
        Self(Cow::Borrowed(pieces))
    }

    #[cfg(test)]
    pub(super) fn pieces(&self) -> &[Piece] {
        &self.0
    }

    /// How much of this is in another text: 1 where each piece is, about 0 where nothing is. None where one of the two was not read.
    pub fn found_in(&self, other: &Self) -> Option<f32> {
        if self.0.is_empty() || other.0.is_empty() {
            return None;
        }
        let near = self.numbers().dot(&other.numbers().t());
        let nearest = near.map_axis(Axis(1), |row| row.fold(f32::MIN, |most, near| most.max(*near)));
        nearest.mean().map(|mean| mean / (PARTS * PARTS))
    }

    /// A row a piece.
    fn numbers(&self) -> Array2<f32> {
        Array2::from_shape_fn((self.0.len(), EACH), |(row, column)| f32::from(self.0[row][column].cast_signed()))
    }
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use super::*;

    fn wording(text: &str) -> Wording {
        read(text).1
    }

    #[test]
    fn a_text_is_found_in_itself_and_more_in_its_like_than_elsewhere() {
        let asked = wording("how much end gap on the top ring");
        let found = |text: &str| asked.found_in(&wording(text)).unwrap_or_default();
        assert!(found("how much end gap on the top ring") > 0.97);
        let (answer, other) = ("Top ring: 0.0045 in for each inch of bore", "Head gasket: dry, no sealer");
        assert!(found(answer) > found(other) + 0.1, "{} {}", found(answer), found(other));
    }

    #[test]
    fn each_piece_looks_for_its_own_like() {
        let piece = |at: usize| {
            let mut piece = [0; EACH];
            piece[at] = 127;
            piece
        };
        let of = |pieces: &[usize]| Wording(pieces.iter().map(|at| piece(*at)).collect());
        assert_eq!(of(&[0, 1]).found_in(&of(&[2, 1, 0, 3])), Some(1.0));
        assert_eq!(of(&[0, 1]).found_in(&of(&[1])), Some(0.5));
        assert_eq!(of(&[2, 1, 0, 3]).found_in(&of(&[0, 1])), Some(0.5));
    }

    #[test]
    fn of_what_was_not_read_nothing_is_said() {
        assert_eq!(wording("ring gap").found_in(&Wording::default()), None);
        assert_eq!(Wording::default().found_in(&wording("ring gap")), None);
    }
}

//! From pieces to pages.

use super::MARGIN;
use super::set::Piece;

/// A piece and where its top stands on the page.
#[derive(Debug)]
pub struct Placed {
    pub y: f64,
    pub piece: Piece,
}

/// Pieces in order, each page filled down to `bottom`. A piece that keeps goes over with what follows it; a piece with a
/// head that begins a page has the head set above it again.
pub fn pages(pieces: Vec<Piece>, bottom: f64) -> Vec<Vec<Placed>> {
    let mut pages: Vec<Vec<Placed>> = Vec::new();
    let mut page: Vec<Placed> = Vec::new();
    let mut y = MARGIN;
    let needs: Vec<f64> = (0..pieces.len()).map(|at| needed(&pieces[at..])).collect();
    let mut carried = false;
    for (piece, need) in pieces.into_iter().zip(needs) {
        // What was kept with the piece before it has its room already.
        if !page.is_empty() && !carried && y + need > bottom {
            pages.push(std::mem::take(&mut page));
            y = MARGIN;
        }
        carried = piece.keep;
        if page.is_empty() {
            if let Some(head) = &piece.head {
                let height = head.height;
                page.push(Placed { y, piece: (**head).clone() });
                y += height;
            }
        } else {
            y += piece.gap;
        }
        let height = piece.height;
        page.push(Placed { y, piece });
        y += height;
    }
    if !page.is_empty() {
        pages.push(page);
    }
    pages
}

/// Room for the first of these, and for all it must stay with.
fn needed(pieces: &[Piece]) -> f64 {
    let mut room = 0.0;
    for piece in pieces {
        room += piece.gap + piece.height;
        if !piece.keep {
            break;
        }
    }
    room
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(height: f64, keep: bool) -> Piece {
        Piece { height, keep, ..Piece::default() }
    }

    #[test]
    fn a_heading_goes_over_with_what_it_heads() {
        let fill = 500.0;
        let pages = pages(
            vec![piece(fill, false), piece(20.0, true), piece(20.0, true), piece(60.0, false)],
            MARGIN + fill + 90.0,
        );
        assert_eq!(pages.iter().map(Vec::len).collect::<Vec<_>>(), [1, 3]);
        assert!((pages[1][0].y - MARGIN).abs() < 1e-9);
    }

    #[test]
    fn a_tables_head_stands_on_every_page_and_nothing_passes_the_bottom() {
        let head = piece(12.0, true);
        let row = || Piece { head: Some(Box::new(head.clone())), ..piece(20.0, false) };
        let all = std::iter::once(head.clone()).chain(std::iter::repeat_with(row).take(30)).collect();
        let bottom = MARGIN + 110.0;
        let pages = pages(all, bottom);
        let rows: usize = pages.iter().map(|page| page.iter().filter(|p| p.piece.head.is_some()).count()).sum();
        assert_eq!((rows, pages.len()), (30, 8));
        for page in &pages {
            assert!(page[0].piece.head.is_none() && (page[0].piece.height - 12.0).abs() < 1e-9);
            assert!(page.iter().all(|placed| placed.y + placed.piece.height <= bottom + 1e-9));
        }
    }
}

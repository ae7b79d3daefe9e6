//! The faces a document is set in, how wide text is in them, and where its lines break.

use std::sync::OnceLock;

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

use crate::drawing::lettering::unbroken;

/// A face of the carried font.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    Plain,
    Bold,
    Mono,
}

/// What is set where the face has no such character.
const UNKNOWN: char = '\u{fffd}';

impl Face {
    pub const ALL: [Self; 3] = [Self::Plain, Self::Bold, Self::Mono];

    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Plain => dejavu::sans_condensed::regular(),
            Self::Bold => dejavu::sans_condensed::bold(),
            Self::Mono => dejavu::sans_mono::regular(),
        }
    }

    fn font(self) -> Option<&'static FontRef<'static>> {
        static FONTS: OnceLock<[Option<FontRef<'static>>; 3]> = OnceLock::new();
        let fonts = FONTS.get_or_init(|| Self::ALL.map(|face| FontRef::new(face.bytes()).ok()));
        fonts.get(self as usize).and_then(Option::as_ref)
    }

    /// Glyph and advance in em.
    pub fn glyph(self, c: char) -> (u32, f64) {
        let found = self.font().and_then(|font| {
            let glyph = font.charmap().map(c).or_else(|| font.charmap().map(UNKNOWN))?;
            let advance = font.glyph_metrics(Size::new(1.0), LocationRef::default()).advance_width(glyph)?;
            Some((glyph.to_u32(), f64::from(advance)))
        });
        found.unwrap_or((0, 1.0))
    }

    /// Width of `text` at `size`.
    pub fn width(self, text: &str, size: f64) -> f64 {
        text.chars().map(|c| self.glyph(c).1).sum::<f64>() * size
    }

    /// `text` in lines no wider than `room`, a number staying with its unit; what has no blank to break at breaks
    /// anywhere. Nothing is left out.
    pub fn wrap(self, text: &str, size: f64, room: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in unbroken(&tamed(text)) {
            let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
            if self.width(&longer, size) <= room {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                if !line.is_empty() && self.width(&line, size) + self.glyph(c).1 * size > room {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(c);
            }
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }
}

/// Without what has no place in print: control characters, and marks that turn the reading direction.
fn tamed(text: &str) -> String {
    let gone = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    text.chars().filter(|c| !gone(*c)).map(|c| if c.is_control() { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_lost_in_breaking() {
        let text = "bore size 4.0006 in (101.615 mm), serial 0123456789012345678901234567890123456789-LONG \u{202e}end";
        for room in [30.0, 55.0, 120.0, 500.0] {
            let lines = Face::Plain.wrap(text, 8.0, room);
            let bare = |text: &str| text.chars().filter(|c| !c.is_whitespace() && *c != '\u{202e}').collect::<String>();
            assert_eq!(bare(&lines.concat()), bare(text));
            assert!(lines.iter().all(|line| Face::Plain.width(line, 8.0) <= room), "{room}: {lines:?}");
        }
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let room = Face::Plain.width("between 4.0006", 8.0);
        assert_eq!(Face::Plain.wrap("between 4.0006 in", 8.0, room), ["between", "4.0006 in"]);
    }
}

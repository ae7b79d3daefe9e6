//! The surface figures are drawn on: shapes and text in, a [`Figure`] out.

use std::fmt::Write;

use super::lettering::{FAMILY, fit, wrap};
use super::picture::Figure;
use super::style::{Anchor, BODY, CARD, EDGE, HEADING, INK, LETTER, LOOK, Paint, RULE, SECTION, SMALL, Type};
use super::{End, Mark};
use crate::quantity::show::fixed;

/// `text` for XML content and attributes: markup escaped, characters XML forbids or that turn the reading direction left out.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}' => {}
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// A coordinate with at most two decimals; what is not a number is nought.
fn coordinate(value: f64) -> String {
    let kept = if value.is_finite() { value.clamp(-1e5, 1e5) } else { 0.0 };
    let text = fixed(kept, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// An outline, point by point.
pub struct Path(String);

impl Path {
    pub fn from(x: f64, y: f64) -> Self {
        Self(format!("M{} {}", coordinate(x), coordinate(y)))
    }

    pub fn to(self, x: f64, y: f64) -> Self {
        self.step(format_args!("L{} {}", coordinate(x), coordinate(y)))
    }

    /// A curve to `x`, `y` drawn toward the corner `cx`, `cy`.
    pub fn bend(self, (cx, cy): (f64, f64), (x, y): (f64, f64)) -> Self {
        self.step(format_args!("Q{} {} {} {}", coordinate(cx), coordinate(cy), coordinate(x), coordinate(y)))
    }

    /// A circular arc of `radius` to `x`, `y`, clockwise on the picture.
    pub fn arc(self, radius: f64, long: bool, (x, y): (f64, f64)) -> Self {
        let r = coordinate(radius);
        self.step(format_args!("A{r} {r} 0 {} 1 {} {}", u8::from(long), coordinate(x), coordinate(y)))
    }

    pub fn close(self) -> Self {
        self.step(format_args!("Z"))
    }

    fn step(mut self, step: std::fmt::Arguments) -> Self {
        let _ = self.0.write_fmt(step);
        self
    }
}

/// A point at `radius` from a centre, `degrees` clockwise from the top of the picture.
pub fn polar((cx, cy): (f64, f64), radius: f64, degrees: f64) -> (f64, f64) {
    let angle = degrees.to_radians();
    (cx + radius * angle.sin(), cy - radius * angle.cos())
}

/// A drawing in progress. The height is given last, when it is known.
pub struct Canvas {
    width: f64,
    body: String,
}

impl Canvas {
    pub fn new(width: f64) -> Self {
        Self { width, body: String::new() }
    }

    fn element(&mut self, name: &str, places: &[(&str, f64)], paint: Paint) {
        let _ = write!(self.body, "<{name}");
        for (key, value) in places {
            let _ = write!(self.body, r#" {key}="{}""#, coordinate(*value));
        }
        self.finish_element(paint);
    }

    fn finish_element(&mut self, paint: Paint) {
        let _ = write!(self.body, r#" fill="{}""#, paint.fill);
        if paint.width > 0.0 {
            let _ = write!(self.body, r#" stroke="{}" stroke-width="{}""#, paint.stroke, coordinate(paint.width));
            self.body.push_str(r#" stroke-linejoin="round""#);
        }
        if !paint.dash.is_empty() {
            let _ = write!(self.body, r#" stroke-dasharray="{}""#, paint.dash);
        }
        self.body.push_str("/>");
    }

    /// A box with corners rounded by `round`.
    pub fn rect(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), round: f64, paint: Paint) {
        self.element(
            "rect",
            &[("x", x), ("y", y), ("width", w.max(0.0)), ("height", h.max(0.0)), ("rx", round)],
            paint,
        );
    }

    pub fn circle(&mut self, (cx, cy): (f64, f64), r: f64, paint: Paint) {
        self.element("circle", &[("cx", cx), ("cy", cy), ("r", r)], paint);
    }

    pub fn line(&mut self, (x1, y1): (f64, f64), (x2, y2): (f64, f64), paint: Paint) {
        self.element("line", &[("x1", x1), ("y1", y1), ("x2", x2), ("y2", y2)], paint);
    }

    pub fn path(&mut self, path: &Path, paint: Paint) {
        let _ = write!(self.body, r#"<path d="{}""#, path.0);
        self.finish_element(paint);
    }

    /// One line of text on a baseline at `y`.
    pub fn text(&mut self, at: (f64, f64), text: &str, style: Type) {
        self.turned_text(at, text, style, "");
    }

    /// Text whose middle is at `y`, for badges and labels beside a shape.
    pub fn label(&mut self, (x, y): (f64, f64), text: &str, style: Type) {
        self.text((x, y + style.size * 0.36), text, style);
    }

    /// Text read from the foot of the picture upward, its middle on `x`.
    pub fn upward(&mut self, (x, y): (f64, f64), text: &str, style: Type) {
        let x = x + style.size * 0.36;
        let turn = format!(r#" transform="rotate(-90 {} {})""#, coordinate(x), coordinate(y));
        self.turned_text((x, y), text, style, &turn);
    }

    fn turned_text(&mut self, (x, y): (f64, f64), text: &str, style: Type, turn: &str) {
        let text = escaped(text);
        if text.trim().is_empty() {
            return;
        }
        let anchor = match style.anchor {
            Anchor::Start => "",
            Anchor::Middle => r#" text-anchor="middle""#,
            Anchor::End => r#" text-anchor="end""#,
        };
        let weight = if style.bold { r#" font-weight="700""# } else { "" };
        let _ = write!(
            self.body,
            r#"<text x="{}" y="{}" font-size="{}" fill="{}"{anchor}{weight}{turn}>{text}</text>"#,
            coordinate(x),
            coordinate(y),
            coordinate(style.size),
            style.ink,
        );
    }

    /// Wrapped lines whose first baseline box starts at `y`; returns where the next thing may start.
    pub fn lines(&mut self, (x, y): (f64, f64), text: &str, room: f64, style: Type, most: usize) -> f64 {
        let mut foot = y;
        for line in wrap(text, room, style, most) {
            self.text((x, foot + style.size), &line, style);
            foot += style.leading();
        }
        foot
    }

    /// The figure's name at the top; returns where the drawing may start.
    pub fn heading(&mut self, text: &str) -> f64 {
        let room = self.width - 2.0 * EDGE;
        self.lines((EDGE, 12.0), text, room, HEADING, 2).max(16.0) + 8.0
    }

    /// A rule and the name of a part of the figure.
    pub fn section(&mut self, y: f64, text: &str) -> f64 {
        self.line((EDGE, y), (self.width - EDGE, y), Paint::line(RULE, 1.0));
        self.lines((EDGE, y + 8.0), text, self.width - 2.0 * EDGE, SECTION, 1) + 4.0
    }

    /// Facts under a figure, each with its bullet, wrapped; returns where the next thing may start.
    pub fn facts<'a>(&mut self, y: f64, facts: impl IntoIterator<Item = &'a str>) -> f64 {
        let mut foot = y;
        for fact in facts {
            self.circle((EDGE + 4.0, foot + 10.0), 2.5, Paint::fill(INK));
            foot = self.lines((EDGE + 14.0, foot), fact, self.width - 2.0 * EDGE - 14.0, BODY, 6) + 3.0;
        }
        foot
    }

    /// The arrow marked FRONT, its tip at `y`, 36 high.
    pub fn front_arrow(&mut self, (x, y): (f64, f64)) {
        let head = Path::from(x, y).to(x + 9.0, y + 15.0).to(x - 9.0, y + 15.0).close();
        self.path(&head, Paint::fill(INK));
        self.text((x, y + 31.0), "FRONT", LETTER.middle());
    }

    /// A stemmed arrow from one point to another with an 8 unit head.
    pub fn arrow(&mut self, (x1, y1): (f64, f64), (x2, y2): (f64, f64), ink: &'static str, weight: f64) {
        let length = (x2 - x1).hypot(y2 - y1).max(1e-6);
        let (ux, uy) = ((x2 - x1) / length, (y2 - y1) / length);
        let (head, half) = (5.0 + 2.0 * weight, 2.5 + 1.5 * weight);
        let (bx, by) = (x2 - ux * head, y2 - uy * head);
        self.line((x1, y1), (bx, by), Paint::line(ink, weight));
        let tip = Path::from(x2, y2).to(bx - uy * half, by + ux * half).to(bx + uy * half, by - ux * half).close();
        self.path(&tip, Paint::fill(ink));
    }

    /// The small triangle of a mark that points at one end of the crank, centred.
    pub fn pointer(&mut self, (x, y): (f64, f64), end: End, size: f64) {
        let tip = y + end.sign() * size;
        let base = y - end.sign() * size * 0.7;
        self.path(&Path::from(x, tip).to(x + size, base).to(x - size, base).close(), Paint::fill(LOOK));
    }

    /// A letter in its shape, about 24 across: round within, diamond marginal, square out, and so on.
    pub fn badge(&mut self, (x, y): (f64, f64), mark: Mark) {
        let paint = Paint::fill(mark.tint()).edged(mark.ink(), 2.0);
        match mark {
            Mark::Within | Mark::Accepted => self.circle((x, y), 11.0, paint),
            Mark::Marginal => {
                let diamond = Path::from(x, y - 14.0).to(x + 14.0, y).to(x, y + 14.0).to(x - 14.0, y).close();
                self.path(&diamond, paint);
            }
            Mark::Out | Mark::Returned => self.rect((x - 11.0, y - 11.0), (22.0, 22.0), 2.0, paint),
            Mark::NoLimit | Mark::Open => self.circle((x, y), 11.0, paint.dashed()),
        }
        self.label((x, y), mark.letter(), LETTER.middle().ink(mark.ink()));
    }

    /// A plain round badge with one or two characters.
    pub fn disc(&mut self, at: (f64, f64), letter: &str, edge: &'static str, fill: &'static str) {
        self.circle(at, 11.5, Paint::fill(fill).edged(edge, 2.0));
        self.label(at, &fit(letter, 22.0, LETTER), LETTER.middle().ink(edge));
    }

    /// A short remark in the small type; returns where the next thing may start.
    pub fn remark(&mut self, y: f64, text: &str) -> f64 {
        self.lines((EDGE, y), text, self.width - 2.0 * EDGE, SMALL, 3)
    }

    /// The finished figure on its card.
    pub fn finish(self, height: f64, title: &str, alt: &str) -> Figure {
        let (width, height) = (self.width.ceil(), height.clamp(40.0, 1e5).ceil());
        let svg = format!(
            concat!(
                r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} {h}" width="{w}" height="{h}" role="img" "#,
                r#"font-family="{family}"><title>{title}</title><desc>{alt}</desc>"#,
                r#"<rect width="{w}" height="{h}" rx="12" fill="{card}"/>{body}</svg>"#
            ),
            w = width,
            h = height,
            family = FAMILY,
            title = escaped(title),
            alt = escaped(alt),
            card = CARD,
            body = self.body,
        );
        Figure { title: title.to_owned(), alt: alt.to_owned(), svg, width: width as u32, height: height as u32 }
    }
}

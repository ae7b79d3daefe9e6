//! Pages written down as PDF/A-2b (ISO 19005-2): it opens the same in twenty years, with nothing from outside.

use jiff::Timestamp;
use krilla::color::rgb;
use krilla::configure::{Archival, ConfigurationBuilder};
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::metadata::{DateTime, Metadata};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke as Pen};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

use super::faces::Face;
use super::figure::Letters;
use super::pages::Placed;
use super::set::Stroke;
use super::{FOOT, MARGIN, Paper, figure};
use crate::drawing::style::{FAINT, RULE};
use crate::drawing::{DrawingError, Mark};

/// The faces as the file carries them: only the glyphs that are used.
struct Fonts {
    text: Vec<Font>,
    figures: Letters,
}

impl Fonts {
    fn new() -> Option<Self> {
        let font = |bytes: &'static [u8]| Font::new(bytes.to_vec().into(), 0);
        Some(Self {
            text: Face::ALL.into_iter().map(|face| font(face.bytes())).collect::<Option<_>>()?,
            figures: Letters { plain: font(dejavu::sans::regular())?, bold: font(dejavu::sans::bold())? },
        })
    }
}

fn failed(what: impl std::fmt::Debug) -> DrawingError {
    DrawingError::Drawing(format!("the document could not be written: {what:?}"))
}

/// The file.
pub fn write(paper: &Paper, pages: &[Vec<Placed>]) -> Result<Vec<u8>, DrawingError> {
    let configuration = ConfigurationBuilder::new().with_archival_validator(Archival::A2_B).finish().map_err(failed)?;
    let mut document = Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
    document.set_metadata(
        Metadata::new()
            .title(paper.title.clone())
            .authors(vec![paper.author.clone()])
            .creator("Gudgeon".to_owned())
            .language("en".to_owned())
            .creation_date(date(paper.made)),
    );
    let fonts = Fonts::new().ok_or_else(|| failed("a carried font"))?;
    let (width, height) = paper.format.size();
    for (number, placed) in (1..).zip(pages) {
        let settings = PageSettings::from_wh(width as f32, height as f32).ok_or_else(|| failed("a page's size"))?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        for Placed { y, piece } in placed {
            for stroke in &piece.strokes {
                paint(&mut surface, &fonts, (MARGIN, *y), stroke)?;
            }
        }
        foot(&mut surface, &fonts, paper, number, pages.len())?;
        surface.finish();
        page.finish();
    }
    document.finish().map_err(failed)
}

fn date(when: Timestamp) -> DateTime {
    let told = jiff::tz::Offset::UTC.to_datetime(when);
    let small = |value: i8| u8::try_from(value).unwrap_or(0);
    DateTime::new(u16::try_from(told.year()).unwrap_or(0))
        .month(small(told.month()))
        .day(small(told.day()))
        .hour(small(told.hour()))
        .minute(small(told.minute()))
        .second(small(told.second()))
        .utc_offset_hour(0)
        .utc_offset_minute(0)
}

/// Rule, running words and the page's number under every page.
fn foot(surface: &mut Surface, fonts: &Fonts, paper: &Paper, number: usize, of: usize) -> Result<(), DrawingError> {
    const SIZE: f64 = 7.2;
    let (width, height) = paper.format.size();
    let y = height - FOOT + 18.0;
    let rule = Stroke::Line { from: (0.0, 0.0), to: (width - 2.0 * MARGIN, 0.0), ink: RULE, weight: 0.5 };
    paint(surface, fonts, (MARGIN, y - 10.0), &rule)?;
    let place = format!("page {number} of {of}");
    let right = width - 2.0 * MARGIN - Face::Plain.width(&place, SIZE);
    let room = right - 12.0;
    let running = Face::Plain.wrap(&paper.foot, SIZE, room).into_iter().next().unwrap_or_default();
    for (x, text) in [(0.0, running), (right, place)] {
        let stroke = Stroke::Text { x, y: 0.0, face: Face::Plain, size: SIZE, ink: FAINT, text };
        paint(surface, fonts, (MARGIN, y), &stroke)?;
    }
    Ok(())
}

fn paint(surface: &mut Surface, fonts: &Fonts, (left, top): (f64, f64), stroke: &Stroke) -> Result<(), DrawingError> {
    match stroke {
        Stroke::Text { x, y, face, size, ink, text } => {
            write_text(surface, fonts, (left + x, top + y), (*face, *size, ink), text);
        }
        Stroke::Line { from, to, ink, weight } => {
            let mut line = PathBuilder::new();
            line.move_to((left + from.0) as f32, (top + from.1) as f32);
            line.line_to((left + to.0) as f32, (top + to.1) as f32);
            draw(surface, line, None, Some((ink, *weight)));
        }
        Stroke::Area { at, size, ink } => {
            let (x, y) = (left + at.0, top + at.1);
            if let Some(rect) = Rect::from_xywh(x as f32, y as f32, size.0 as f32, size.1 as f32) {
                let mut area = PathBuilder::new();
                area.push_rect(rect);
                draw(surface, area, Some(ink), None);
            }
        }
        Stroke::Mark { at, mark } => mark_of(surface, fonts, (left + at.0, top + at.1), *mark),
        Stroke::Photo { at, size, small } => {
            let picture = Image::from_jpeg(small.jpeg.clone().into(), false).map_err(failed)?;
            let size = Size::from_wh(size.0 as f32, size.1 as f32).ok_or_else(|| failed("a photograph's size"))?;
            let place = Transform::from_translate((left + at.0) as f32, (top + at.1) as f32);
            surface.push_transform(&place);
            surface.draw_image(picture, size);
            surface.pop();
        }
        Stroke::Figure { at, width, figure } => {
            figure::paint(surface, &fonts.figures, (left + at.0, top + at.1), *width, figure)?;
        }
    }
    Ok(())
}

fn write_text(
    surface: &mut Surface,
    fonts: &Fonts,
    (x, y): (f64, f64),
    (face, size, ink): (Face, f64, &str),
    text: &str,
) {
    let Some(font) = fonts.text.get(face as usize) else { return };
    let glyphs: Vec<KrillaGlyph> = text
        .char_indices()
        .map(|(at, c)| {
            let (glyph, advance) = face.glyph(c);
            KrillaGlyph {
                glyph_id: GlyphId::new(glyph),
                text_range: at..at + c.len_utf8(),
                x_advance: advance as f32,
                x_offset: 0.0,
                y_offset: 0.0,
                y_advance: 0.0,
                location: None,
            }
        })
        .collect();
    surface.set_fill(Some(filled(ink)));
    surface.set_stroke(None);
    surface.draw_glyphs(Point::from_xy(x as f32, y as f32), &glyphs, font.clone(), text, size as f32, false);
}

/// `#a83800` as a colour; black where it is none.
fn colour(ink: &str) -> rgb::Color {
    let part = |at: usize| ink.get(at..at + 2).and_then(|two| u8::from_str_radix(two, 16).ok()).unwrap_or(0);
    rgb::Color::new(part(1), part(3), part(5))
}

fn filled(ink: &str) -> Fill {
    Fill { paint: colour(ink).into(), ..Fill::default() }
}

fn draw(surface: &mut Surface, outline: PathBuilder, fill: Option<&str>, pen: Option<(&str, f64)>) {
    let Some(path) = outline.finish() else { return };
    surface.set_fill(fill.map(filled));
    surface.set_stroke(pen.map(|(ink, weight)| Pen {
        paint: colour(ink).into(),
        width: weight as f32,
        ..Pen::default()
    }));
    surface.draw_path(&path);
}

/// A verdict's letter in its shape, as the figures show it: round within, diamond marginal, square out.
fn mark_of(surface: &mut Surface, fonts: &Fonts, (x, y): (f64, f64), mark: Mark) {
    const R: f64 = 4.4;
    let mut shape = PathBuilder::new();
    let mut corners = |corners: &[(f64, f64)]| {
        for (place, (dx, dy)) in corners.iter().enumerate() {
            let (cx, cy) = ((x + dx * R) as f32, (y + dy * R) as f32);
            if place == 0 { shape.move_to(cx, cy) } else { shape.line_to(cx, cy) }
        }
    };
    match mark {
        Mark::Marginal => corners(&[(0.0, -1.2), (1.2, 0.0), (0.0, 1.2), (-1.2, 0.0)]),
        Mark::Out | Mark::Returned => corners(&[(-0.95, -0.95), (0.95, -0.95), (0.95, 0.95), (-0.95, 0.95)]),
        Mark::Within | Mark::Accepted | Mark::NoLimit | Mark::Open => {
            let around: Vec<(f64, f64)> = (0..36).map(|step| f64::from(step * 10).to_radians().sin_cos()).collect();
            corners(&around);
        }
    }
    shape.close();
    draw(surface, shape, Some(mark.tint()), Some((mark.ink(), 0.8)));
    let size = 6.0;
    let half = Face::Bold.width(mark.letter(), size) / 2.0;
    write_text(surface, fonts, (x - half, y + size * 0.36), (Face::Bold, size, mark.ink()), mark.letter());
}

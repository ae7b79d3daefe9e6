//! A figure on the page: its SVG's outlines and letters, sharp at any size.

use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Paint, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use resvg::tiny_skia::PathSegment;
use resvg::usvg::{self, Group, Node, Tree};

use crate::drawing::lettering::options;
use crate::drawing::{DrawingError, Figure};

/// The faces figures are lettered in.
pub struct Letters {
    pub plain: Font,
    pub bold: Font,
}

/// Paints `figure` with its top left corner at `x`, `y`, so wide.
pub fn paint(
    surface: &mut Surface,
    letters: &Letters,
    (x, y): (f64, f64),
    width: f64,
    figure: &Figure,
) -> Result<(), DrawingError> {
    let tree = Tree::from_str(&figure.svg, &options()).map_err(|fault| DrawingError::Drawing(fault.to_string()))?;
    let scale = width as f32 / tree.size().width();
    surface.push_transform(&Transform::from_row(scale, 0.0, 0.0, scale, x as f32, y as f32));
    group(surface, letters, &tree, tree.root());
    surface.pop();
    Ok(())
}

fn group(surface: &mut Surface, letters: &Letters, tree: &Tree, group_node: &Group) {
    for node in group_node.children() {
        match node {
            Node::Group(inner) => group(surface, letters, tree, inner),
            Node::Path(path) => outline(surface, path),
            Node::Text(text) => write(surface, letters, tree, text),
            Node::Image(_) => {}
        }
    }
}

/// Text as text, so that it can be searched and weighs little.
fn write(surface: &mut Surface, letters: &Letters, tree: &Tree, text: &usvg::Text) {
    surface.push_transform(&moved(text.abs_transform()));
    for span in text.layouted() {
        let Some(first) = span.positioned_glyphs.first() else { continue };
        let bold = tree.fontdb().face(first.font).is_some_and(|face| face.weight.0 >= 600);
        let font = if bold { &letters.bold } else { &letters.plain };
        let size = span.font_size.get();
        let start = first.transform();
        let places: Vec<f32> = span.positioned_glyphs.iter().map(|glyph| glyph.transform().tx - start.tx).collect();
        let (mut words, mut glyphs) = (String::new(), Vec::new());
        for (at, glyph) in span.positioned_glyphs.iter().enumerate() {
            let from = words.len();
            words.push_str(&glyph.text);
            let to_next = places.get(at + 1).map_or(0.0, |next| next - places[at]);
            glyphs.push(KrillaGlyph {
                glyph_id: GlyphId::new(glyph.id.0),
                text_range: from..words.len(),
                x_advance: to_next / size,
                x_offset: 0.0,
                y_offset: 0.0,
                y_advance: 0.0,
                location: None,
            });
        }
        surface.set_fill(span.fill.as_ref().and_then(fill_of));
        surface.set_stroke(None);
        surface.draw_glyphs(Point::from_xy(start.tx, start.ty), &glyphs, font.clone(), &words, size, false);
    }
    surface.pop();
}

fn moved(turn: usvg::Transform) -> Transform {
    Transform::from_row(turn.sx, turn.ky, turn.kx, turn.sy, turn.tx, turn.ty)
}

fn outline(surface: &mut Surface, path: &usvg::Path) {
    let fill = path.fill().and_then(fill_of);
    let stroke = path.stroke().and_then(stroke_of);
    // Without either the surface would fill it black.
    if !path.is_visible() || (fill.is_none() && stroke.is_none()) {
        return;
    }
    let Some(shape) = shape(path) else { return };
    surface.push_transform(&moved(path.abs_transform()));
    surface.set_fill(fill);
    surface.set_stroke(stroke);
    surface.draw_path(&shape);
    surface.pop();
}

fn shape(path: &usvg::Path) -> Option<Path> {
    let mut out = PathBuilder::new();
    for segment in path.data().segments() {
        match segment {
            PathSegment::MoveTo(p) => out.move_to(p.x, p.y),
            PathSegment::LineTo(p) => out.line_to(p.x, p.y),
            PathSegment::QuadTo(a, p) => out.quad_to(a.x, a.y, p.x, p.y),
            PathSegment::CubicTo(a, b, p) => out.cubic_to(a.x, a.y, b.x, b.y, p.x, p.y),
            PathSegment::Close => out.close(),
        }
    }
    out.finish()
}

/// Figures are painted in plain colours; anything else is left out.
fn paint_of(paint: &usvg::Paint) -> Option<Paint> {
    match paint {
        usvg::Paint::Color(c) => Some(rgb::Color::new(c.red, c.green, c.blue).into()),
        _ => None,
    }
}

fn opacity(value: usvg::Opacity) -> NormalizedF32 {
    NormalizedF32::new(value.get()).unwrap_or(NormalizedF32::ONE)
}

fn fill_of(fill: &usvg::Fill) -> Option<Fill> {
    let rule = match fill.rule() {
        usvg::FillRule::NonZero => FillRule::NonZero,
        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
    };
    Some(Fill { paint: paint_of(fill.paint())?, opacity: opacity(fill.opacity()), rule })
}

fn stroke_of(stroke: &usvg::Stroke) -> Option<Stroke> {
    let dash = stroke.dasharray().map(|array| StrokeDash { array: array.to_vec(), offset: stroke.dashoffset() });
    Some(Stroke {
        paint: paint_of(stroke.paint())?,
        width: stroke.width().get(),
        miter_limit: stroke.miterlimit().get(),
        line_cap: match stroke.linecap() {
            usvg::LineCap::Butt => LineCap::Butt,
            usvg::LineCap::Round => LineCap::Round,
            usvg::LineCap::Square => LineCap::Square,
        },
        line_join: match stroke.linejoin() {
            usvg::LineJoin::Miter | usvg::LineJoin::MiterClip => LineJoin::Miter,
            usvg::LineJoin::Round => LineJoin::Round,
            usvg::LineJoin::Bevel => LineJoin::Bevel,
        },
        opacity: opacity(stroke.opacity()),
        dash,
    })
}

//! The pen: collects shapes and lines of text for one page, in points from the top left, and turns them into page
//! operations. Decides no places and no words.

use std::collections::{BTreeMap, BTreeSet};

use printpdf::{
    Actions, BorderArray, Color, CurTransMat, DictItem, FontId, LinePoint, LinkAnnotation, Op, PaintMode, ParsedFont,
    PdfFontHandle, Point, Polygon, PolygonRing, Pt, Rect, Rgb, TextItem, WindingOrder,
};

use super::font::Face;

/// Width of a Letter sheet on its side, in points.
pub(super) const WIDTH: f32 = 792.0;
/// Height of a Letter sheet on its side, in points.
pub(super) const HEIGHT: f32 = 612.0;

/// A colour as red, green and blue of 0 to 255.
pub(super) type Ink = [u8; 3];

/// One line of text in its place.
struct Line {
    face: Face,
    size: f32,
    left: f32,
    baseline: f32,
    ink: Ink,
    text: String,
}

/// What has been drawn so far on one page.
pub(super) struct Pen {
    /// The height of the page, in points.
    height: f32,
    shapes: Vec<Op>,
    lines: Vec<Line>,
}

impl Pen {
    /// A page of a height, in points, with nothing on it.
    pub(super) fn of(height: f32) -> Self {
        Self { height, shapes: Vec::new(), lines: Vec::new() }
    }

    /// Fills shapes, each a ring of corners, as one path, so that shapes that touch leave no seam.
    pub(super) fn fill(&mut self, ink: Ink, rings: Vec<Vec<(f32, f32)>>) {
        self.shapes.push(Op::SetFillColor { col: colour(ink) });
        self.shapes.push(polygon(self.height, rings, PaintMode::Fill));
    }

    /// Fills upright rectangles (left, top, width, height), given in whole modules of `module` points from a corner, as
    /// one path. Whole numbers make a short document.
    pub(super) fn fill_modules(&mut self, ink: Ink, corner: (f32, f32), module: f32, areas: Vec<[i64; 4]>) {
        self.shapes.extend([Op::SaveGraphicsState, moved(self.height, corner, [module, -module])]);
        self.shapes.push(Op::SetFillColor { col: colour(ink) });
        self.shapes.extend(areas.iter().map(|area| operator("re", area)));
        self.shapes.extend([operator("f", &[]), Op::RestoreGraphicsState]);
    }

    /// Draws the same strokes at many places, each with its own scale. The strokes are given in whole units, upwards
    /// from the place; the thickness is in units too.
    pub(super) fn stamp(&mut self, ink: Ink, thickness: f32, strokes: &[Vec<[i64; 2]>], places: &[(f32, f32, f32)]) {
        self.shapes.push(Op::SetOutlineColor { col: colour(ink) });
        self.shapes.push(Op::SetOutlineThickness { pt: Pt(thickness) });
        for &(left, top, scale) in places {
            self.shapes.extend([Op::SaveGraphicsState, moved(self.height, (left, top), [scale, scale])]);
            for stroke in strokes {
                let steps = stroke.iter().enumerate();
                self.shapes.extend(steps.map(|(step, to)| operator(if step == 0 { "m" } else { "l" }, to)));
            }
            self.shapes.extend([operator("S", &[]), Op::RestoreGraphicsState]);
        }
    }

    /// Draws the outline of a shape, given as a ring of corners.
    pub(super) fn outline(&mut self, ink: Ink, thickness: f32, ring: Vec<(f32, f32)>) {
        self.shapes.push(Op::SetOutlineColor { col: colour(ink) });
        self.shapes.push(Op::SetOutlineThickness { pt: Pt(thickness) });
        self.shapes.push(polygon(self.height, vec![ring], PaintMode::Stroke));
    }

    /// Writes a line of text whose baseline starts at the place given.
    pub(super) fn write(&mut self, face: Face, size: f32, ink: Ink, left: f32, baseline: f32, text: &str) {
        if !text.is_empty() {
            self.lines.push(Line { face, size, left, baseline, ink, text: text.to_string() });
        }
    }

    /// Writes a line of text centred on a place.
    pub(super) fn write_centred(&mut self, face: Face, size: f32, ink: Ink, middle: f32, baseline: f32, text: &str) {
        self.write(face, size, ink, middle - face.width(text, size) / 2.0, baseline, text);
    }

    /// Makes an area of the page open an address on a screen.
    pub(super) fn link(&mut self, left: f32, top: f32, width: f32, height: f32, address: &str) {
        let area = Rect::from_xywh(Pt(left), Pt(self.height - top - height), Pt(width), Pt(height));
        let link = LinkAnnotation::new(
            area,
            Actions::uri(address.to_string()),
            Some(BorderArray::Solid([0.0; 3])),
            None,
            None,
        );
        self.shapes.push(Op::LinkAnnotation { link });
    }

    /// The faces in use, each with the characters written in it.
    pub(super) fn characters(&self) -> BTreeMap<Face, BTreeSet<char>> {
        let mut characters: BTreeMap<Face, BTreeSet<char>> = BTreeMap::new();
        for line in &self.lines {
            characters.entry(line.face).or_default().extend(line.text.chars());
        }
        characters
    }

    /// Everything that is written, line by line.
    #[cfg(test)]
    pub(super) fn text(&self) -> String {
        self.lines.iter().map(|line| line.text.as_str()).collect::<Vec<_>>().join("\n")
    }

    /// The page operations, with the cut fonts named in place of the faces.
    pub(super) fn finish(self, fonts: &BTreeMap<Face, (FontId, ParsedFont)>) -> Vec<Op> {
        let mut ops = self.shapes;
        for line in self.lines {
            let Some((font, _)) = fonts.get(&line.face) else {
                continue;
            };
            ops.extend([
                Op::StartTextSection,
                Op::SetFillColor { col: colour(line.ink) },
                Op::SetFont { font: PdfFontHandle::External(font.clone()), size: Pt(line.size) },
                Op::SetTextCursor { pos: point(self.height, line.left, line.baseline) },
                Op::ShowText { items: vec![TextItem::Text(line.text)] },
                Op::EndTextSection,
            ]);
        }
        ops
    }
}

/// The four corners of an upright rectangle.
pub(super) fn rectangle(left: f32, top: f32, width: f32, height: f32) -> Vec<(f32, f32)> {
    vec![(left, top), (left + width, top), (left + width, top + height), (left, top + height)]
}

/// A plain operator of the page language with whole numbers before it.
fn operator(name: &str, numbers: &[i64]) -> Op {
    Op::Unknown { key: name.to_string(), value: numbers.iter().map(|number| DictItem::Int(*number)).collect() }
}

/// Moves the axes to a place and scales them.
fn moved(height: f32, (left, top): (f32, f32), [across, up]: [f32; 2]) -> Op {
    let origin = point(height, left, top);
    Op::SetTransformationMatrix { matrix: CurTransMat::Raw([across, 0.0, 0.0, up, origin.x.0, origin.y.0]) }
}

/// A path of rings, filled or stroked.
fn polygon(height: f32, rings: Vec<Vec<(f32, f32)>>, mode: PaintMode) -> Op {
    let rings = rings
        .into_iter()
        .map(|ring| PolygonRing {
            points: ring.into_iter().map(|(x, y)| LinePoint { p: point(height, x, y), bezier: false }).collect(),
        })
        .collect();
    Op::DrawPolygon { polygon: Polygon { rings, mode, winding_order: WindingOrder::NonZero } }
}

/// A place in the document's own axes, rounded to a tenth of a point, which is a 28th of a millimetre.
fn point(height: f32, left: f32, top: f32) -> Point {
    let rounded = |value: f32| Pt((value * 10.0).round() / 10.0);
    Point { x: rounded(left), y: rounded(height - top) }
}

/// A colour in the document's own terms.
fn colour([red, green, blue]: Ink) -> Color {
    let share = |value: u8| (f32::from(value) / 2.55).round() / 100.0;
    Color::Rgb(Rgb::new(share(red), share(green), share(blue), None))
}

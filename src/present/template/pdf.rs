//! A template as PDF, cut into sheets of office paper at full size.
use pdf_writer::types::LineCapStyle;
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str};

use super::{CHECK_SQUARE_MM, Drawing, Mark, Style};
use crate::present::svg::Anchor;
use crate::study::{Answer, TemplateResult};

/// Points in a millimetre: 72 to the inch of 25.4 mm (ISO 32000-1, 8.3.2.3).
const POINTS_MM: f64 = 72.0 / 25.4;
/// Rim of each sheet that printers leave bare, mm.
const MARGIN_MM: f64 = 12.0;
/// How far sheets overlap, mm.
const OVERLAP_MM: f64 = 12.0;

/// Size of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    A4,
    /// 8.5 × 11 in.
    Letter,
}

impl Paper {
    /// Breadth and height, mm.
    #[must_use]
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
        }
    }
}

/// How a drawing falls onto sheets.
struct Tiling {
    paper: [f64; 2],
    /// Part of the drawing that one sheet shows, mm.
    window: [f64; 2],
    /// Columns and rows.
    count: [u16; 2],
    /// Lower left corner of the whole, mm.
    corner: [f64; 2],
}

impl Tiling {
    fn new(drawing: &Drawing, paper: Paper) -> Self {
        let size = [0, 1].map(|k| drawing.high[k] - drawing.low[k]);
        let fit = |paper: [f64; 2]| {
            let window = paper.map(|v| v - 2.0 * MARGIN_MM);
            let count = [0, 1].map(|k| sheets(size[k], window[k]));
            (paper, window, count)
        };
        // Upright or on its side, whichever takes fewer sheets.
        let upright = fit(paper.size_mm());
        let [breadth, height] = paper.size_mm();
        let lying = fit([height, breadth]);
        let number = |count: [u16; 2]| u32::from(count[0]) * u32::from(count[1]);
        let (paper, window, count) = if number(lying.2) < number(upright.2) {
            lying
        } else {
            upright
        };
        Self {
            paper,
            window,
            count,
            corner: drawing.low,
        }
    }

    /// Lower left corner of one sheet's window in the drawing, mm; row 0 on top.
    fn window_at(&self, column: u16, row: u16) -> [f64; 2] {
        let from_below = self.count[1] - 1 - row;
        let steps = [f64::from(column), f64::from(from_below)];
        [0, 1].map(|k| self.corner[k] + steps[k] * (self.window[k] - OVERLAP_MM))
    }

    /// Whether any line or text of the drawing reaches into a sheet, but for an open top, where
    /// there is nothing to cut.
    fn shows_anything(&self, drawing: &Drawing, column: u16, row: u16) -> bool {
        let low = self.window_at(column, row);
        let inside = |a: [f64; 2], b: [f64; 2]| {
            (0..2).all(|k| a[k].max(b[k]) >= low[k] && a[k].min(b[k]) <= low[k] + self.window[k])
        };
        drawing.marks.iter().any(|mark| match mark {
            Mark::Run { style, .. } if *style == Style::Open => false,
            Mark::Run { points, closed, .. } => {
                let next = points
                    .iter()
                    .skip(1)
                    .chain(points.first().filter(|_| *closed));
                points.iter().zip(next).any(|(a, b)| inside(*a, *b))
            }
            Mark::Text { at, .. } => inside(*at, *at),
        })
    }
}

/// How many windows with an overlap it takes to cover a length.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a craft of a few metres takes a few dozen sheets; more than 999 are refused by the window"
)]
fn sheets(length: f64, window: f64) -> u16 {
    let more = (length - window) / (window - OVERLAP_MM);
    1 + more.ceil().clamp(0.0, 998.0) as u16
}

/// The template on sheets of paper, a check square on each.
#[must_use]
pub fn template_pdf(result: &Answer<TemplateResult>, paper: Paper) -> Vec<u8> {
    let drawing = Drawing::of(result);
    let tiling = Tiling::new(&drawing, paper);
    let mut pdf = Pdf::new();
    let (catalog, tree, font) = (Ref::new(1), Ref::new(2), Ref::new(3));
    let mut next = 4;
    let mut pages = Vec::new();
    for row in 0..tiling.count[1] {
        for column in 0..tiling.count[0] {
            if !tiling.shows_anything(&drawing, column, row) {
                continue;
            }
            let (page_id, content_id) = (Ref::new(next), Ref::new(next + 1));
            next += 2;
            pages.push(page_id);
            let content = sheet(&drawing, &tiling, column, row);
            pdf.stream(content_id, &content.finish());
            let mut page = pdf.page(page_id);
            let [breadth, height] = tiling.paper.map(points);
            page.parent(tree)
                .media_box(Rect::new(0.0, 0.0, breadth, height))
                .contents(content_id);
            page.resources().fonts().pair(Name(b"F"), font);
            page.finish();
        }
    }
    pdf.catalog(catalog).pages(tree);
    let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
    pdf.pages(tree).kids(pages).count(count);
    pdf.type1_font(font)
        .base_font(Name(b"Helvetica"))
        .encoding_predefined(Name(b"WinAnsiEncoding"));
    pdf.finish()
}

fn sheet(drawing: &Drawing, tiling: &Tiling, column: u16, row: u16) -> Content {
    let from = tiling.window_at(column, row);
    let shift = from.map(|v| MARGIN_MM - v);
    let window = tiling.window;
    let mut content = Content::new();
    content.set_line_cap(LineCapStyle::ButtCap);
    content.save_state();
    let [x, y] = [MARGIN_MM; 2].map(points);
    content.rect(x, y, points(window[0]), points(window[1]));
    content.clip_nonzero().end_path();
    for mark in &drawing.marks {
        draw(&mut content, mark, shift);
    }
    content.restore_state();
    let mut frame = Drawing {
        marks: Vec::new(),
        low: [0.0; 2],
        high: tiling.paper,
        title: String::new(),
    };
    overlap_marks(&mut frame, tiling, [column, row]);
    let corner = clear_of_lines(drawing, from, window);
    frame.check_square(corner.map(|v| v + MARGIN_MM));
    let letter = char::from(b'A' + u8::try_from(row % 26).unwrap_or(0));
    frame.text(
        [MARGIN_MM, MARGIN_MM - 6.0],
        3.5,
        Anchor::Start,
        format!(
            "{}: sheet {letter}{}, row {} of {}, column {} of {}. Print at 100 %, no fitting to the page.",
            drawing.title,
            column + 1,
            row + 1,
            tiling.count[1],
            column + 1,
            tiling.count[0]
        ),
    );
    for mark in &frame.marks {
        draw(&mut content, mark, [0.0; 2]);
    }
    content
}

/// Where in a sheet's window its check square covers no line to cut by and no text, from the
/// top left on; there where it covers some wherever it stands. `from` is the window's corner in
/// the drawing, mm.
fn clear_of_lines(drawing: &Drawing, from: [f64; 2], window: [f64; 2]) -> [f64; 2] {
    const STEP_MM: f64 = 10.0;
    let room = window.map(|v| v - 2.0 * OVERLAP_MM - CHECK_SQUARE_MM);
    let steps = |room: f64| {
        let steps = (0..50_u8).map(|step| STEP_MM * f64::from(step));
        steps.take_while(move |step| *step <= room)
    };
    let mut places = steps(room[1]).flat_map(|down| {
        steps(room[0]).map(move |right| [OVERLAP_MM + right, OVERLAP_MM + room[1] - down])
    });
    let is_clear = |corner: &[f64; 2]| {
        let low = [0, 1].map(|k| from[k] + corner[k]);
        drawing.is_clear(&[low, low.map(|v| v + CHECK_SQUARE_MM)])
    };
    let first = [OVERLAP_MM, OVERLAP_MM + room[1]];
    places.find(is_clear).unwrap_or(first)
}

/// The frame of the window, and crosses where it overlaps its neighbours: laid
/// one on the other, the crosses of two sheets meet.
fn overlap_marks(frame: &mut Drawing, tiling: &Tiling, place: [u16; 2]) {
    let [left, bottom] = [MARGIN_MM; 2];
    let [right, top] = [left + tiling.window[0], bottom + tiling.window[1]];
    frame.marks.push(Mark::Run {
        points: vec![[left, bottom], [right, bottom], [right, top], [left, top]],
        closed: true,
        style: Style::Dimension,
    });
    let half = OVERLAP_MM / 2.0;
    let [column, row] = place;
    let mut joints = Vec::new();
    if column > 0 {
        joints.push((0, left + half));
    }
    if column + 1 < tiling.count[0] {
        joints.push((0, right - half));
    }
    if row > 0 {
        joints.push((1, top - half));
    }
    if row + 1 < tiling.count[1] {
        joints.push((1, bottom + half));
    }
    for (axis, joint) in joints {
        let (low, length) = if axis == 0 {
            (bottom, tiling.window[1])
        } else {
            (left, tiling.window[0])
        };
        for share in [0.15, 0.5, 0.85] {
            let along = low + length * share;
            let at = if axis == 0 {
                [joint, along]
            } else {
                [along, joint]
            };
            let arm = half - 1.0;
            frame.run([at[0] - arm, at[1]], [at[0] + arm, at[1]], Style::Check);
            frame.run([at[0], at[1] - arm], [at[0], at[1] + arm], Style::Check);
        }
    }
}

fn draw(content: &mut Content, mark: &Mark, shift: [f64; 2]) {
    let place = |[x, y]: [f64; 2]| [points(x + shift[0]), points(y + shift[1])];
    match mark {
        Mark::Run {
            points: list,
            closed,
            style,
        } => {
            content.set_line_width(points(style.width_mm()));
            content.set_dash_pattern(style.dashes_mm().iter().map(|v| points(*v)), 0.0);
            for (number, point) in list.iter().enumerate() {
                let [x, y] = place(*point);
                if number == 0 {
                    content.move_to(x, y);
                } else {
                    content.line_to(x, y);
                }
            }
            if *closed {
                content.close_path();
            }
            content.stroke();
        }
        Mark::Text {
            at,
            height_mm,
            anchor,
            text,
        } => {
            let bytes = win_ansi(text);
            let width = bytes.iter().map(|b| f64::from(width_of(*b))).sum::<f64>() / 1000.0;
            let back = match anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => width * height_mm / 2.0,
                Anchor::End => width * height_mm,
            };
            let [x, y] = place([at[0] - back, at[1]]);
            content.begin_text();
            content.set_font(Name(b"F"), points(*height_mm));
            content.next_line(x, y);
            content.show(Str(&bytes));
            content.end_text();
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "PDF readers hold numbers as f32; 1e-7 of a sheet is nothing on paper"
)]
fn points(mm: f64) -> f32 {
    (mm * POINTS_MM) as f32
}

/// Text in the font's encoding; what it does not have is a question mark.
fn win_ansi(text: &str) -> Vec<u8> {
    text.chars()
        .map(|c| match u8::try_from(u32::from(c)) {
            Ok(byte) if !c.is_control() => byte,
            _ => b'?',
        })
        .collect()
}

/// Advance widths of Helvetica, thousandths of its size, from the space on
/// (Adobe's core font metrics, from memory; only the placing of centred and
/// right-hand texts rests on them).
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

fn width_of(byte: u8) -> u16 {
    let number = usize::from(byte).checked_sub(32);
    number.and_then(|n| WIDTHS.get(n)).copied().unwrap_or(556)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_cover_the_length_with_their_overlap() {
        assert_eq!(sheets(100.0, 186.0), 1);
        assert_eq!(sheets(186.0, 186.0), 1);
        assert_eq!(sheets(186.1, 186.0), 2);
        assert_eq!(sheets(186.0 + 174.0, 186.0), 2);
        assert_eq!(sheets(186.0 + 174.1, 186.0), 3);
    }

    /// A line to cut by down the left of a sheet: the square stands to the right of it.
    #[test]
    fn the_check_square_keeps_clear_of_what_is_cut() {
        let mut drawing = Drawing {
            marks: Vec::new(),
            low: [0.0; 2],
            high: [186.0, 273.0],
            title: String::new(),
        };
        let place = |drawing: &Drawing| clear_of_lines(drawing, [0.0; 2], [186.0, 273.0]);
        let first = [OVERLAP_MM, 273.0 - OVERLAP_MM - CHECK_SQUARE_MM];
        assert_eq!(place(&drawing), first);
        drawing.run([40.0, 0.0], [40.0, 273.0], Style::Cut);
        let beside = place(&drawing);
        assert!(beside[0] > 40.0 && beside[1] == first[1], "{beside:?}");
        // Nowhere clear: where it always stood.
        drawing.run([0.0, 0.0], [186.0, 273.0], Style::Cut);
        drawing.run([0.0, 273.0], [186.0, 0.0], Style::Part);
        assert_eq!(place(&drawing), first);
    }

    /// The digits of Helvetica are 0.556 of its size wide.
    #[test]
    fn widths_line_up_with_their_letters() {
        assert!((b'0'..=b'9').all(|digit| width_of(digit) == 556));
        assert_eq!(
            (width_of(b' '), width_of(b'W'), width_of(b'i')),
            (278, 944, 222)
        );
        assert_eq!(win_ansi("5° →"), [b'5', 0xB0, b' ', b'?']);
    }
}

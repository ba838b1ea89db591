//! A template as DXF, release 12, text: the form that nearly every cutter and
//! drawing program reads. One unit is one millimetre.
//!
//! Group codes as in Autodesk's DXF reference for release 12 (from memory; the
//! check under `tests/templates` opens the file with an independent reader).
//!
//! By hand: a page of text; writers in crates bring the whole format.
use std::fmt::Write as _;

use super::{Drawing, Mark, Style};
use crate::present::svg::Anchor;
use crate::study::{Answer, TemplateResult};

/// The template with its check square.
#[must_use]
pub fn template_dxf(result: &Answer<TemplateResult>) -> String {
    let drawing = Drawing::of(result).with_check_square();
    let mut file = Dxf::default();
    file.header(&drawing);
    file.tables();
    file.pair(0, "SECTION").pair(2, "ENTITIES");
    for mark in &drawing.marks {
        match mark {
            Mark::Run {
                points,
                closed,
                style,
            } => file.run(points, *closed, *style),
            Mark::Text {
                at,
                height_mm,
                anchor,
                text,
            } => file.text(*at, *height_mm, *anchor, text),
        }
    }
    file.pair(0, "ENDSEC").pair(0, "EOF");
    file.text
}

#[derive(Default)]
struct Dxf {
    text: String,
}

impl Dxf {
    fn pair(&mut self, code: u16, value: &str) -> &mut Self {
        let _ = writeln!(self.text, "{code:>3}\n{value}");
        self
    }

    fn number(&mut self, code: u16, value: f64) -> &mut Self {
        self.pair(code, &format!("{value:.5}"))
    }

    fn point(&mut self, first: u16, [x, y]: [f64; 2]) -> &mut Self {
        self.number(first, x)
            .number(first + 10, y)
            .number(first + 20, 0.0)
    }

    fn header(&mut self, drawing: &Drawing) {
        self.pair(0, "SECTION").pair(2, "HEADER");
        self.pair(9, "$ACADVER").pair(1, "AC1009");
        self.pair(9, "$EXTMIN").point(10, drawing.low);
        self.pair(9, "$EXTMAX").point(10, drawing.high);
        self.pair(0, "ENDSEC");
    }

    /// Line types, layers and one text style.
    fn tables(&mut self) {
        self.pair(0, "SECTION").pair(2, "TABLES");
        let dashed = Style::ALL
            .iter()
            .filter(|style| !style.dashes_mm().is_empty());
        self.pair(0, "TABLE")
            .pair(2, "LTYPE")
            .pair(70, &(1 + dashed.count()).to_string());
        self.line_type("CONTINUOUS", "solid", &[]);
        for style in Style::ALL {
            self.line_type(line_type(style), style.layer(), style.dashes_mm());
        }
        self.pair(0, "ENDTAB");
        self.pair(0, "TABLE")
            .pair(2, "LAYER")
            .pair(70, &(2 + Style::ALL.len()).to_string());
        for (layer, kind) in [("0", "CONTINUOUS"), ("TEXT", "CONTINUOUS")]
            .into_iter()
            .chain(Style::ALL.map(|style| (style.layer(), line_type(style))))
        {
            self.pair(0, "LAYER").pair(2, layer).pair(70, "0");
            self.pair(62, "7").pair(6, kind);
        }
        self.pair(0, "ENDTAB");
        self.pair(0, "TABLE").pair(2, "STYLE").pair(70, "1");
        self.pair(0, "STYLE").pair(2, "STANDARD").pair(70, "0");
        self.number(40, 0.0).number(41, 1.0).number(50, 0.0);
        self.pair(71, "0")
            .number(42, 3.5)
            .pair(3, "txt")
            .pair(4, "");
        self.pair(0, "ENDTAB").pair(0, "ENDSEC");
    }

    fn line_type(&mut self, name: &str, words: &str, dashes: &[f64]) {
        if !dashes.is_empty() || name == "CONTINUOUS" {
            self.pair(0, "LTYPE").pair(2, name).pair(70, "0");
            self.pair(3, words).pair(72, "65");
            self.pair(73, &dashes.len().to_string());
            self.number(40, dashes.iter().sum());
            for (number, length) in dashes.iter().enumerate() {
                // A gap is a negative length.
                self.number(49, if number % 2 == 0 { *length } else { -length });
            }
        }
    }

    fn run(&mut self, points: &[[f64; 2]], closed: bool, style: Style) {
        let layer = style.layer();
        self.pair(0, "POLYLINE").pair(8, layer).pair(66, "1");
        self.point(10, [0.0, 0.0]);
        self.pair(70, if closed { "1" } else { "0" });
        for point in points {
            self.pair(0, "VERTEX").pair(8, layer).point(10, *point);
        }
        self.pair(0, "SEQEND").pair(8, layer);
    }

    fn text(&mut self, at: [f64; 2], height_mm: f64, anchor: Anchor, text: &str) {
        // Release 12 knows no degree sign but this one.
        let plain: String = text
            .replace('°', "%%d")
            .chars()
            .map(|c| {
                if c.is_ascii() && !c.is_control() {
                    c
                } else {
                    '?'
                }
            })
            .collect();
        self.pair(0, "TEXT").pair(8, "TEXT").point(10, at);
        self.number(40, height_mm).pair(1, &plain);
        let kind = match anchor {
            Anchor::Start => return,
            Anchor::Middle => "1",
            Anchor::End => "2",
        };
        self.pair(72, kind).point(11, at);
    }
}

fn line_type(style: Style) -> &'static str {
    if style.dashes_mm().is_empty() {
        "CONTINUOUS"
    } else {
        style.layer()
    }
}

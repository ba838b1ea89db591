//! Pieces of parts laid flat.
use super::super::shared::answer::Answer;
use super::super::shared::cautions::Doing;
use super::super::shared::foam_sheets::{foam_sheets, sheet_faces};
use super::super::shared::named::NoSuchName;
use super::{
    Line, TemplateError, TemplateOutline, TemplateResult, box_of, ordinates,
};
use crate::boat::{Boat, PartAboard};
use crate::mesh::Section;

/// A sheet of a part laid flat, by its number from 1; the only one where none is given.
///
/// # Errors
/// [`TemplateError`] where the boat has no such part, or that no such sheet.
pub fn template_of_part(
    boat: &Boat,
    part: &str,
    sheet: Option<usize>,
) -> Result<Answer<TemplateResult>, TemplateError> {
    let found = boat.parts.iter().find(|found| found.name == part);
    let found = found.ok_or_else(|| NoSuchName {
        kind: "part",
        name: part.to_owned(),
        known: boat.parts.iter().map(|part| part.name.clone()).collect(),
    })?;
    let sheets = foam_sheets(found);
    if sheets.is_empty() {
        return Err(TemplateError::NoSheet(part.to_owned()));
    }
    let which = || TemplateError::WhichSheet {
        part: part.to_owned(),
        sheets: sheets
            .iter()
            .map(|sheet| format!("from z {:.3} to {:.3} m", sheet.from_m, sheet.to_m))
            .collect(),
    };
    let number = match (sheet, sheets.len()) {
        (Some(number), _) => number,
        (None, 1) => 1,
        (None, _) => return Err(which()),
    };
    foam_sheet(boat, found, number).ok_or_else(which)
}

/// One sheet of foam: its larger face, and the other inside it.
fn foam_sheet(
    boat: &Boat,
    part: &PartAboard,
    number: usize,
) -> Option<Answer<TemplateResult>> {
    let sheets = foam_sheets(part);
    let sheet = sheets.get(number.checked_sub(1)?)?;
    let [larger, smaller] = sheet_faces(part, number)?;
    let outline = |face: &Section| {
        let name = match face.at_m < (sheet.from_m + sheet.to_m) / 2.0 {
            true => "lower face",
            false => "upper face",
        };
        TemplateOutline {
            face: name.to_owned(),
            at_m: Some(face.at_m),
            area_m2: face.area_m2(),
            curves_m: face
                .loops
                .iter()
                .map(|one| one.points.iter().map(|p| [p.x, p.y]).collect())
                .collect(),
            runs: Vec::new(),
        }
    };
    let other = Some(outline(&smaller)).filter(|other| !other.curves_m.is_empty());
    let drawn = Drawn {
        piece: format!("sheet {number} of {} of \"{}\"", sheet.of, part.name),
        at_m: Some(sheet.from_m),
        seen: "seen from above, bow to the right: port is up",
        centre_line: Some(Line::Level),
        cut: outline(&larger),
        other_face: other,
        thickness_m: Some(sheet.to_m - sheet.from_m),
    };
    Some(drawn.on_paper(boat))
}

/// A piece as it lies on paper.
struct Drawn {
    piece: String,
    at_m: Option<f64>,
    seen: &'static str,
    centre_line: Option<Line>,
    cut: TemplateOutline,
    other_face: Option<TemplateOutline>,
    thickness_m: Option<f64>,
}

impl Drawn {
    fn on_paper(self, boat: &Boat) -> Answer<TemplateResult> {
        let result = TemplateResult {
            across: "piece",
            piece: Some(self.piece),
            at_m: self.at_m,
            from_stem_m: None,
            seen: self.seen,
            centre_line: self.centre_line,
            datum: None,
            measured_from: "the left end of the cut line",
            ordinates: ordinates(&self.cut, 0),
            bevels: Vec::new(),
            thickness_m: self.thickness_m,
            box_m: box_of(&self.cut, self.other_face.as_ref()),
            cut: self.cut,
            other_face: self.other_face,
            frame: boat.frame,
        };
        let cautions = Doing::Building.cautions(boat);
        Answer::of(boat, result, cautions.collect())
    }
}

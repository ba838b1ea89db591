//! `awash template`
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::files::{Writes, put, refuse_existing};
use super::section::PanelArguments;
use super::{CommandError, Outcome, Output, length_m};
use crate::present::{Paper, template_dxf, template_pdf, template_svg};
use crate::study::{template, template_of_opening, template_of_part};

/// A section at full size, to cut by: SVG or DXF on one sheet, PDF on sheets of
/// office paper
///
/// The outside of the skin, or with --panel the two faces of a sheet that fits
/// inside. It shows the centre line, the base line, which side is up, printed
/// distances from one end, and a square of 100 mm to check the print with. The
/// file's name says which form is written. With --part it is a sheet that a part made
/// from the hull is made of, laid flat: a deck, a coaming, a bulkhead, one of the sheets that
/// foam is stacked from; with --opening the edge of a hatch or another opening.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash template meshes/dipper/after.toml --station 1.8 -o station.pdf\n  awash template meshes/dipper/after.toml --station 0.9 --panel --skin \"5 mm\" --thickness \"12 mm\" -o bulkhead.dxf\n  awash template meshes/dipper/after.toml --waterline \"100 mm\" -o floor.svg\n  awash template boat.toml --part foam --sheet 2 -o sheet.pdf"
)]
pub(super) struct Template {
    /// Boat file (TOML)
    boat: PathBuf,
    #[command(flatten)]
    plane: PlaneArguments,
    /// Beside --part: which of its sheets, counted from 1
    #[arg(long, value_name = "N", requires = "part",
        conflicts_with_all = ["station", "buttock", "waterline", "opening", "panel"])]
    sheet: Option<usize>,
    #[command(flatten)]
    panel: PanelArguments,
    /// File to write: .svg, .dxf or .pdf
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Paper of a PDF
    #[arg(long, value_enum, default_value_t = PaperName::A4)]
    paper: PaperName,
    /// Write over a file that is already there
    #[arg(long)]
    force: bool,
}

/// Which plane.
#[derive(Debug, Args)]
#[group(required = true, multiple = false)]
struct PlaneArguments {
    /// Plane across x
    #[arg(long, value_name = "X", value_parser = length_m, allow_hyphen_values = true)]
    station: Option<f64>,
    /// Plane across y
    #[arg(long, value_name = "Y", value_parser = length_m, allow_hyphen_values = true)]
    buttock: Option<f64>,
    /// Plane across z
    #[arg(long, value_name = "Z", value_parser = length_m, allow_hyphen_values = true)]
    waterline: Option<f64>,
    /// Instead of a plane: a sheet that this part is made of
    #[arg(long, value_name = "NAME", conflicts_with = "panel")]
    part: Option<String>,
    /// Instead of a plane: the edge of this opening
    #[arg(long, value_name = "NAME", conflicts_with = "panel")]
    opening: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PaperName {
    A4,
    Letter,
}

enum Form {
    Svg,
    Dxf,
    Pdf,
}

impl Template {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let form = form_of(&self.output)?;
        refuse_existing(&self.output, Writes::Page, self.force)?;
        let panel = self.panel.options(&self.boat)?;
        let mut boat = output.load(&self.boat)?;
        self.panel.hold(&mut boat);
        let planes = [self.plane.station, self.plane.buttock, self.plane.waterline];
        let plane = (0..).zip(planes).find_map(|(axis, at)| Some((axis, at?)));
        let result = match (plane, &self.plane.part, &self.plane.opening) {
            (Some((axis, at_m)), ..) => template(&boat, axis, at_m, panel.as_ref()),
            (None, Some(part), _) => template_of_part(&boat, part, self.sheet),
            (None, None, Some(opening)) => template_of_opening(&boat, opening),
            (None, None, None) => {
                let message = "give --station, --buttock, --waterline, --part or --opening";
                return Err(CommandError::Message(message.into()));
            }
        };
        let result = result.map_err(|error| CommandError::Message(error.to_string()))?;
        let paper = match self.paper {
            PaperName::A4 => Paper::A4,
            PaperName::Letter => Paper::Letter,
        };
        let bytes = match form {
            Form::Svg => template_svg(&result).into_bytes(),
            Form::Dxf => template_dxf(&result).into_bytes(),
            Form::Pdf => template_pdf(&result, paper),
        };
        put(&self.output, &bytes, self.force)?;
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}

fn form_of(path: &Path) -> Result<Form, CommandError> {
    let ending = path
        .extension()
        .map(|ending| ending.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        Some("svg") => Ok(Form::Svg),
        Some("dxf") => Ok(Form::Dxf),
        Some("pdf") => Ok(Form::Pdf),
        _ => Err(CommandError::Message(format!(
            "{}: the file's name must end in .svg, .dxf or .pdf",
            path.display()
        ))),
    }
}

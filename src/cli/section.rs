//! `awash section`
use std::path::{Path, PathBuf};

use clap::Args;

use super::files::{self, put};
use super::{CommandError, Outcome, Output, length_m};
use crate::boat::{Boat, BoatFile, Given};
use crate::present::lines_svg;
use crate::study::{MOST_PLANES, PanelOptions, Planes, SectionOptions, Skins, section};

/// Sections across the three axes: area, centroid, girth, half-breadths, the
/// curve of section areas, a lines drawing, and the panels that fit inside
///
/// Planes are given as lengths ("0.5, 1.2 m"), as so many from end to end
/// ("21 even"), or as a distance ("every 100 mm"). Without any, 21 stations, 7
/// waterlines and 5 buttocks are taken. Sections are of the outside of the skin;
/// --panel adds the two faces of a sheet that fits inside it.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash section meshes/dipper/after.toml --stations \"41 even\" --svg lines.svg\n  awash section meshes/dipper/after.toml --stations \"0.9, 1.8\" --panel --skin \"5 mm\" --thickness \"12 mm\"\n  awash section meshes/dipper/before.toml --stations \"11 even\" --waterlines \"every 50 mm\" --format json"
)]
pub(super) struct Section {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Planes across x
    #[arg(long, value_name = "PLACES", value_parser = planes, allow_hyphen_values = true)]
    stations: Option<Planes>,
    /// Planes across z
    #[arg(long, value_name = "PLACES", value_parser = planes, allow_hyphen_values = true)]
    waterlines: Option<Planes>,
    /// Planes across y
    #[arg(long, value_name = "PLACES", value_parser = planes, allow_hyphen_values = true)]
    buttocks: Option<Planes>,
    /// Level water at this height instead of where the boat floats
    #[arg(long, value_name = "Z", value_parser = length_m, allow_hyphen_values = true)]
    waterline: Option<f64>,
    #[command(flatten)]
    panel: PanelArguments,
    /// Also draw the lines into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

/// What is asked of a panel.
#[derive(Debug, Args)]
pub(super) struct PanelArguments {
    /// Also the panel (bulkhead, foam) that fits inside the skin at each plane,
    /// its first face on the plane
    #[arg(long)]
    panel: bool,
    /// Thickness of the panel
    #[arg(long, value_name = "T", value_parser = length_m, default_value = "12 mm", requires = "panel", allow_hyphen_values = true)]
    thickness: f64,
    /// Room for glass and glue all round, on top of the skin
    #[arg(long, value_name = "A", value_parser = length_m, default_value = "3 mm", requires = "panel", allow_hyphen_values = true)]
    allow: f64,
    /// Thickness of the skin all over; the boat file's `skin` when left out
    #[arg(long, value_name = "S", value_parser = length_m, requires = "panel", allow_hyphen_values = true)]
    skin: Option<f64>,
}

impl PanelArguments {
    /// What they ask for; `None` without `--panel`.
    pub(super) fn options(&self, boat: &Path) -> Result<Option<PanelOptions>, CommandError> {
        const THICKEST_M: f64 = 1.0;
        if !self.panel {
            return Ok(None);
        }
        let within = |value: f64| (0.0..=THICKEST_M).contains(&value);
        if self.thickness <= 0.0 || ![self.thickness, self.allow].into_iter().all(within) {
            return Err(CommandError::Message(format!(
                "--thickness must be over 0, --allow 0 or more, and neither over {THICKEST_M} m: write \"12 mm\" if millimetres are meant"
            )));
        }
        let skins = match self.skin {
            Some(skin) if within(skin) => Skins::even(skin),
            Some(skin) => {
                return Err(CommandError::Message(format!(
                    "--skin {skin} m: give 0 to {THICKEST_M} m; write \"4 mm\" if millimetres are meant"
                )));
            }
            None => {
                let file = BoatFile::read(boat).map_err(crate::boat::BoatError::from)?;
                Skins::stated(&file).ok_or_else(|| {
                    CommandError::Message(format!(
                        "{}: [hull] gives no `skin`, so how far the inside lies from the outside is not known: give --skin, for example --skin \"4 mm\"",
                        boat.display()
                    ))
                })?
            }
        };
        Ok(Some(PanelOptions {
            thickness_m: self.thickness,
            allow_m: self.allow,
            skins,
        }))
    }

    /// Doubts sizes that can hardly be meant.
    pub(super) fn hold(&self, boat: &mut Boat) {
        boat.hold("--thickness", Given::Length(self.thickness));
        boat.hold("--allow", Given::Length(self.allow));
        boat.hold("--skin", Given::Skin(self.skin.unwrap_or(0.0)));
    }
}

impl Section {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let panel = self.panel.options(&self.boat)?;
        let mut boat = output.load(&self.boat)?;
        self.panel.hold(&mut boat);
        let middle = (boat.hull_box_m.0 + boat.hull_box_m.1) / 2.0;
        let level = self.waterline.map(|level_m| Planes::At(vec![level_m]));
        for (option, axis, planes) in [
            ("--stations", 0, &self.stations),
            ("--waterlines", 2, &self.waterlines),
            ("--buttocks", 1, &self.buttocks),
            ("--waterline", 2, &level),
        ] {
            let Some(Planes::At(all)) = planes else {
                continue;
            };
            for at_m in all {
                let mut place = middle;
                place[axis] = *at_m;
                boat.hold(option, Given::Place(place));
            }
        }
        let none_given =
            self.stations.is_none() && self.waterlines.is_none() && self.buttocks.is_none();
        let or_usual = |given: &Option<Planes>, usual: u16| match given {
            Some(planes) => planes.clone(),
            None if none_given => Planes::Even(usual),
            None => Planes::None,
        };
        let options = SectionOptions {
            stations: or_usual(&self.stations, 21),
            waterlines: or_usual(&self.waterlines, 7),
            buttocks: or_usual(&self.buttocks, 5),
            waterline_m: self.waterline,
            panel,
        };
        let result = section(&boat, &options)
            .map_err(|source| CommandError::of_rest(&self.boat, &boat, source))?;
        if let Some(svg) = &self.svg {
            put(svg, lines_svg(&result, output.units).as_bytes(), self.force)?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}

/// Planes on the command line: "0.5, 1.2 m", "21 even", "every 100 mm".
pub(super) fn planes(text: &str) -> Result<Planes, String> {
    let text = text.trim();
    if let Some(count) = text.strip_suffix("even") {
        let most = MOST_PLANES;
        return match count.trim().parse::<u16>() {
            Ok(count) if (1..=most).contains(&usize::from(count)) => Ok(Planes::Even(count)),
            _ => Err(format!(
                "\"{text}\": write how many, 1 to {most}, before `even`: \"21 even\""
            )),
        };
    }
    if let Some(step) = text.strip_prefix("every") {
        let step = length_m(step.trim())?;
        return if step >= 1e-3 {
            Ok(Planes::Every(step))
        } else {
            Err(format!("\"{text}\": the distance must be 1 mm or more"))
        };
    }
    let list = text
        .split(',')
        .map(|one| length_m(one.trim()))
        .collect::<Result<Vec<f64>, String>>()?;
    if list.len() > MOST_PLANES {
        return Err(format!("{} planes are over {MOST_PLANES}", list.len()));
    }
    Ok(Planes::At(list))
}

//! `awash calibrate`
use std::path::{Path, PathBuf};

use clap::Args;

use super::files::{is_one_of, named_from, put, refuse_existing};
use super::{CommandError, Outcome, Output, load_floating};
use crate::boat::{BoatError, BoatFile};
use crate::study::{CalibrateError, CalibrateResult, Measured, calibrate};

/// Correct a boat's mass and centre of gravity by what was measured
///
/// Reads float marks, weighings on two scales, inclining moves and push tests, and
/// says how well they fit. With --output it writes a new boat file that starts from
/// the old one and gives the hull the corrected mass and centre.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  awash calibrate boat.toml measured.toml --output boat-measured.toml

measured.toml (each table may be left out):
  [[float_mark]]                 # three or more points, their height over the water
  at = [0.0, 0.25, 0.36]
  over_water = \"182 mm\"
  [two_scales]
  aft = { x = 0.30, reads = \"112 kg\" }
  fore = { x = 2.80, reads = \"87 kg\" }
  stands_at_z = 0.0              # for the height of the centre: the fore end raised
  tipped = { angle = \"10 deg\", fore_reads = \"83 kg\" }
  [[incline]]                    # four to six; starboard positive
  mass = \"10 kg\"
  moved = \"30 cm\"
  heel = \"3.4 deg\"
  [[push]]                       # only compared
  at = [0.0, 0.0, 0.36]
  force = \"10 kgf\"
  sinks = \"14 mm\"")]
pub(super) struct Calibrate {
    /// Boat file (TOML)
    boat: PathBuf,
    /// File of measurements (TOML)
    measured: PathBuf,
    /// Boat file to write
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Overwrite the file that is already there
    #[arg(long)]
    force: bool,
}

impl Calibrate {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = load_floating(&self.boat)?;
        if let Some(target) = &self.output {
            refuse_existing(target, self.force)?;
            self.refuse_a_file_it_starts_from(target)?;
        }
        let measured = Measured::read(&self.measured)
            .map_err(|error| CommandError::Message(error.to_string()))?;
        let result = calibrate(&boat, &measured).map_err(|error| match error {
            CalibrateError::Equilibrium(source) => CommandError::of_rest(&self.boat, &boat, source),
            other => CommandError::Message(format!("{}: {other}", self.measured.display())),
        })?;
        if let Some(target) = &self.output {
            let extends = named_from(&self.boat, target)?;
            put(
                target,
                corrected_file(&extends, &result).as_bytes(),
                self.force,
            )?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}

impl Calibrate {
    /// Even forced, a file that the new one starts from must stay.
    fn refuse_a_file_it_starts_from(&self, target: &Path) -> Result<(), CommandError> {
        let chain = BoatFile::read(&self.boat).map_err(BoatError::from)?.files;
        if is_one_of(target, &chain) {
            return Err(CommandError::Message(format!(
                "{} is a file that the new one starts from; name another file with --output",
                target.display()
            )));
        }
        Ok(())
    }
}

/// A boat file that changes only the hull's weight.
fn corrected_file(extends: &str, result: &CalibrateResult) -> String {
    let [x, y, z] = result.hull_centre_m;
    // The escapes of a JSON text are those of a TOML one.
    let quoted = serde_json::Value::String(extends.to_owned());
    format!(
        "# Written by awash calibrate: the hull's weight makes up what was measured of all aboard.\n\
         extends = {quoted}\n\n[hull]\nmass = {:?}\ncentre = [{x:?}, {y:?}, {z:?}]\n",
        result.hull_mass_kg
    )
}

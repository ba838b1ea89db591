//! `awash start`
use std::io;
use std::path::PathBuf;

use clap::Args;

use super::ask::Person;
use super::files::{self, Writes, cannot, named_from, put_boat, put_with, refuse_existing};
use super::float::floated;
use super::{CommandError, Outcome, Output};
use crate::equilibrium::Afloat;
use crate::mesh::{MeshError, write_mended_stl};
use crate::present::Present;
use crate::study::{first_boat, margins, spread};

mod hull;
mod read;
mod talk;

use talk::Talk;

/// Draws that say what is not known costs.
const DRAWS: u32 = 400;

/// Make a boat file from a scan by answering questions
///
/// Looks at the scan, mends it as `awash inspect` proposes, and asks one thing at a time:
/// length by tape, weight by scales, what each opening is, who sits where. Enter or "don't
/// know" is always an answer; what that costs is told. Then writes the mended hull and the
/// boat file and floats it. The scan itself is never changed.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash start scan.ply\n  awash start scan.ply --output my-boat.toml"
)]
pub(super) struct Start {
    /// Scan or hull mesh (STL, OBJ, PLY, GLB)
    scan: PathBuf,
    /// Boat file to write; SCAN-boat.toml when not given, the hull beside it
    #[arg(short, long, value_name = "FILE", value_parser = files::boat_file())]
    output: Option<PathBuf>,
}

impl Start {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat_file = self.output.clone().unwrap_or_else(|| {
            let stem = self.scan.file_stem().unwrap_or_default().to_string_lossy();
            self.scan.with_file_name(format!("{stem}-boat.toml"))
        });
        let hull_file = boat_file.with_extension("hull.stl");
        refuse_existing(&boat_file, Writes::Boat, false)?;
        refuse_existing(&hull_file, Writes::Mesh, false)?;
        let person = Person {
            input: io::stdin().lock(),
            output: io::stdout().lock(),
        };
        let mut talk = Talk::new(person, output.units);
        let mut hull = talk.hull(&self.scan, &hull_file)?;
        let mut answers = talk.answers(&self.scan, &hull)?;
        hull.keep_only(&mut answers.openings)?;
        let mesh = named_from(&hull_file, &boat_file)?;
        let text = first_boat(&mesh, &answers, &hull.as_scanned(), &talk.not_known);
        put_with(&hull_file, Writes::Mesh, false, |out| {
            write_mended_stl(out, &hull.surface, hull.result.carried().as_ref()).map_err(|error| {
                match error {
                    MeshError::Write(source) => cannot(&hull_file, &source),
                    other => other.into(),
                }
            })
        })?;
        put_boat(&boat_file, &text, false)?;
        talk.person.tell(&format!(
            "\nWritten: {} and {}.\n",
            boat_file.display(),
            hull_file.display()
        ))?;
        let boat = output.load_floating(&boat_file)?;
        let afloat = Afloat::of(&boat);
        let outcome = floated(&boat_file, &afloat, output)?;
        if let Ok(found) = margins(&afloat) {
            let told = found.summary(output.units);
            talk.person
                .tell(&format!("\nPushed, leaned on, loaded: {told}"))?;
        }
        if !talk.not_known.is_empty() {
            talk.person.tell("\nWhat you did not know:")?;
            for what in &talk.not_known {
                talk.person.tell(&format!("- {what}"))?;
            }
            if let Ok(found) = spread(&afloat, DRAWS, 1) {
                talk.person
                    .tell("What all that costs, with every \u{b1} of the file:")?;
                talk.person.tell(&found.summary(output.units))?;
            }
        }
        let file = boat_file.display();
        talk.person.tell(&format!("\nNext: awash margins {file} says how small a lean or knock floods it, awash drill {file} where a hole may go. Nothing here clears a craft for use: try it empty, in shallow calm water, with help at hand."))?;
        Ok(outcome)
    }
}

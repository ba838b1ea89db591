//! `awash mend`
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::files::{
    self, Writes, cannot, is_one_of, named_from, put_boat, put_with, refuse_existing, refuse_same,
};
use super::progress::Progress;
use super::{CommandError, Outcome, Output, UnitName, is_boat_file};
use crate::boat::{BoatError, BoatFile, HullPlan, doubt_fill_under};
use crate::files::Disk;
use crate::mesh::{
    Crop, Level, MendError, MendRecipe, MeshError, Mirror, Placement, RebuildError,
    write_mended_stl,
};
use crate::present::next_steps;
use crate::study::{FromScan, MendResult, Next, inspect, mend_scan, starting_file};

/// Make a hull that can be trusted of a raw scan
///
/// Reads a mesh, or a boat file with [hull.mend], and writes a new mesh in
/// metres; the scan itself is never changed. Every step is optional and
/// logged. Always done: faces made to agree, duplicates and loose scraps
/// removed, holes under 6 cm round filled, larger ones kept as openings. The
/// steps come in a fixed order: floor, shells, mirror at the cut, outer skin,
/// upright, scale, crop, mirror at the centre, smooth rims, fill, rebuild. What
/// was done is printed as a recipe to keep in the boat file.
#[derive(Debug, Args)]
#[command(
    allow_negative_numbers = true,
    after_help = "Examples:\n  awash mend scan.ply -o hull.stl --mesh-units mm --drop-floor --largest-only --upright --fill-under \"40 cm\"\n  awash mend half.obj -o hull.stl --mirror cut --upright --rim-heights \"42 cm,36 cm\" --scale-to-length \"3.4 m\"\n  awash mend decked.obj -o hull.stl --outer-skin --upright --boat boat.toml\n  awash mend boat.toml -o hull.stl"
)]
pub(super) struct Mend {
    /// Scan (STL, OBJ, PLY, GLB), or boat file (TOML) whose [hull] names it
    file: PathBuf,
    /// Mesh to write (binary STL, metres)
    #[arg(short, long, value_name = "FILE", value_parser = files::stl_file())]
    output: PathBuf,
    /// Replace the output if it is there
    #[arg(long)]
    force: bool,
    /// Also write a starting boat file for the mended hull, with what only the scan
    /// tells: thickness of the skin, names of the openings, the ± of their rims
    #[arg(long, value_name = "FILE", value_parser = files::boat_file())]
    boat: Option<PathBuf>,
    /// Unit of the numbers in the scan; guessed when not given
    #[arg(long, value_enum)]
    mesh_units: Option<UnitName>,
    #[command(flatten)]
    steps: Steps,
}

#[derive(Debug, Args)]
pub(super) struct Steps {
    /// Remove a floor that the hull stands on
    #[arg(long)]
    drop_floor: bool,
    /// Keep only the connected piece with the largest area
    #[arg(long)]
    largest_only: bool,
    /// Add the missing half, mirrored in the plane of the cut, in the flat part of
    /// the open edge with this number (of the table of `inspect`), or at y = 0
    /// [cut, 1, 2, …, centre]
    #[arg(long, value_name = "WHERE", value_parser = mirror)]
    mirror: Option<Mirror>,
    /// Turn it into the boat frame by its symmetry, as it stands on a floor;
    /// origin aftmost, on the centre plane, at the keel's lowest point
    #[arg(long)]
    upright: bool,
    /// With --upright: level it by the heights of the longest opening's two ends over
    /// the keel's lowest point, taken by tape; the log tells which end each was taken
    /// for, and --swap-ends makes the other end the bow
    #[arg(long, value_name = "BOW,STERN", value_parser = two_lengths_m, requires = "upright")]
    rim_heights: Option<[f64; 2]>,
    /// With --upright: the other end is the bow
    #[arg(long, requires = "upright")]
    swap_ends: bool,
    /// With --upright: the other side is up
    #[arg(long, requires = "upright")]
    upside_down: bool,
    /// Scale it to this length over all, along its longest axis
    #[arg(long, value_name = "LENGTH", value_parser = length_m, allow_hyphen_values = true)]
    scale_to_length: Option<f64>,
    /// Cut off what lies aft of this x
    #[arg(long, value_name = "X", value_parser = length_m, allow_hyphen_values = true)]
    crop_aft: Option<f64>,
    /// Cut off what lies forward of this x
    #[arg(long, value_name = "X", value_parser = length_m, allow_hyphen_values = true)]
    crop_forward: Option<f64>,
    /// Cut off what lies below this z
    #[arg(long, value_name = "Z", value_parser = length_m, allow_hyphen_values = true)]
    crop_bottom: Option<f64>,
    /// Cut off what lies above this z
    #[arg(long, value_name = "Z", value_parser = length_m, allow_hyphen_values = true)]
    crop_top: Option<f64>,
    /// Keep only the outer of the two sides of a skin, deck and lips included,
    /// and reopen each opening at its true edge
    #[arg(long)]
    outer_skin: bool,
    /// Draw rough edges of openings onto smooth curves
    #[arg(long)]
    smooth_rims: bool,
    /// Fill these holes whatever their length, numbered from the longest (1) of the
    /// mesh as the steps before leave it, as `inspect` lists them where none changes what
    /// is open; the log tells the size and place of each
    #[arg(long, value_name = "N,N", value_delimiter = ',', value_parser = hole_number)]
    fill: Vec<usize>,
    /// Keep these holes open whatever their length
    #[arg(long, value_name = "N,N", value_delimiter = ',', value_parser = hole_number)]
    keep: Vec<usize>,
    /// Fill holes shorter round than this; 6 cm when not given
    #[arg(long, value_name = "LENGTH", value_parser = girth_m, allow_hyphen_values = true)]
    fill_under: Option<f64>,
    /// Make one skin of pieces that pass through each other
    #[arg(long)]
    rebuild: bool,
}

impl Steps {
    pub(super) fn recipe(&self) -> MendRecipe {
        let level = match self.rim_heights {
            Some([bow_m, stern_m]) => Level::RimHeights { bow_m, stern_m },
            None => Level::Floor,
        };
        MendRecipe {
            drop_floor: self.drop_floor,
            largest_only: self.largest_only,
            mirror: self.mirror,
            upright: self.upright.then_some(level),
            swap_ends: self.swap_ends,
            crop: Crop {
                least: [self.crop_aft, None, self.crop_bottom],
                greatest: [self.crop_forward, None, self.crop_top],
            },
            upside_down: self.upside_down,
            outer_skin: self.outer_skin,
            smooth_rims: self.smooth_rims,
            fill: self.fill.clone(),
            keep: self.keep.clone(),
            fill_under_m: self.fill_under,
            rebuild: self.rebuild,
        }
    }

    fn placement(&self) -> Placement {
        Placement {
            scale_to_length_m: self.scale_to_length,
            ..Placement::default()
        }
    }
}

impl Mend {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        refuse_same(&[Some(&self.output), self.boat.as_ref()])?;
        refuse_existing(&self.output, Writes::Mesh, self.force)?;
        if let Some(boat) = &self.boat {
            refuse_existing(boat, Writes::Boat, self.force)?;
            self.refuse_a_file_it_reads(boat)?;
        }
        let plan = self.plan()?;
        if same_file(&plan.mesh, &self.output) {
            return Err(CommandError::Message(format!(
                "{} is the scan itself, which is never changed; write to another file",
                self.output.display()
            )));
        }
        let progress = Progress::new();
        progress.say("reading and welding");
        let read = plan.read(&Disk)?;
        let recipe = plan.mend.clone().unwrap_or_default();
        let (mut result, surface) = mend_scan(
            &plan.mesh.display().to_string(),
            &self.output.display().to_string(),
            read,
            &recipe,
            &plan.placement,
            &progress,
        )
        .map_err(|source| {
            // What took too long is not looked at once more.
            let steps = match source {
                MendError::Rebuild(RebuildError::TooSlow(_)) => String::new(),
                _ => self.steps_that_may_help(&plan, &recipe, &progress),
            };
            CommandError::Message(format!("{}: {source}{steps}", plan.mesh.display()))
        })?;
        if let Some(under_m) = self.steps.fill_under {
            let longest_m = result.after.size_m.into_iter().fold(0.0, f64::max);
            let doubt = doubt_fill_under("--fill-under", under_m, longest_m);
            result.mesh_doubts.extend(doubt);
        }
        progress.say("writing");
        put_with(&self.output, Writes::Mesh, self.force, |out| {
            write_mended_stl(out, &surface, result.carried().as_ref()).map_err(
                |error| match error {
                    MeshError::Write(source) => cannot(&self.output, &source),
                    other => other.into(),
                },
            )
        })?;
        if let Some(boat) = &self.boat {
            self.write_boat(boat, &result, &recipe)?;
        }
        drop(progress);
        output.print(&result)?;
        Ok(Outcome::Fine)
    }

    /// The command that `inspect` proposes, where it has a step that was not asked for.
    fn steps_that_may_help(
        &self,
        plan: &HullPlan,
        recipe: &MendRecipe,
        progress: &Progress,
    ) -> String {
        let Ok(read) = plan.read(&Disk) else {
            return String::new();
        };
        let name = plan.mesh.display().to_string();
        let seen = inspect(&name, read, progress);
        let taken = [
            ("--drop-floor", recipe.drop_floor),
            ("--largest-only", recipe.largest_only),
            ("--outer-skin", recipe.outer_skin),
            ("--rebuild", recipe.rebuild),
        ];
        let helps = |next: &Next| match next {
            Next::Mend(steps) => taken
                .iter()
                .any(|(step, taken)| !taken && steps.contains(step)),
            _ => false,
        };
        let units = self.mesh_units.and_then(|unit| unit.to_possible_value());
        let units = units.map_or_else(String::new, |unit| {
            format!(" --mesh-units {}", unit.get_name())
        });
        let helps = seen.next.iter().position(helps);
        helps.map_or_else(String::new, |at| {
            let line = &next_steps(&seen)[at];
            format!("\ntry first what `awash inspect` proposes for it: {line}{units}")
        })
    }

    /// Even forced, the boat files that bring the recipe stay.
    fn refuse_a_file_it_reads(&self, boat: &Path) -> Result<(), CommandError> {
        let mut reads = vec![self.file.clone()];
        if is_boat_file(&self.file) {
            reads = BoatFile::read(&self.file).map_err(BoatError::from)?.files;
        }
        if is_one_of(boat, &reads) {
            return Err(CommandError::Message(format!(
                "{} is read for this; name another file with --boat",
                boat.display()
            )));
        }
        Ok(())
    }

    /// The starting boat file for the mended hull.
    fn write_boat(
        &self,
        boat: &Path,
        result: &MendResult,
        recipe: &MendRecipe,
    ) -> Result<(), CommandError> {
        let named = named_from(&self.output, boat)?;
        let read = crate::boat::read_mesh(&Disk, &self.output, Some(1.0), false)?;
        let scan = FromScan::of(result, recipe);
        let start =
            starting_file(&named, &boat.display().to_string(), read, &scan).map_err(|source| {
                CommandError::Message(format!("{}: {source}", self.output.display()))
            })?;
        put_boat(boat, &start.text, self.force)
    }

    fn plan(&self) -> Result<HullPlan, CommandError> {
        let recipe = self.steps.recipe();
        let placement = self.steps.placement();
        if !is_boat_file(&self.file) {
            return Ok(HullPlan {
                mesh: self.file.clone(),
                metres_a_unit: self.mesh_units.map(UnitName::metres),
                fill_under_m: recipe.fill_under_m,
                mend: Some(recipe),
                placement,
            });
        }
        if recipe != MendRecipe::default() || !placement.is_nothing() || self.mesh_units.is_some() {
            return Err(CommandError::Message(
                "a boat file brings its own recipe in [hull.mend]: leave out the steps on the command line, or name the scan itself".into(),
            ));
        }
        let file = BoatFile::read(&self.file).map_err(BoatError::from)?;
        if file.hull.mend.is_none() {
            return Err(CommandError::Message(format!(
                "{}: it has no [hull.mend]: add one, for example with upright = true, or name the scan itself and give the steps",
                self.file.display()
            )));
        }
        Ok(file.hull.plan())
    }
}

/// Whether two paths lead to one file.
fn same_file(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}

/// Where a half is mirrored.
fn mirror(text: &str) -> Result<Mirror, String> {
    match text {
        "cut" => Ok(Mirror::AtCut),
        "centre" => Ok(Mirror::AtCentre),
        _ => hole_number(text)
            .map(Mirror::AtFlat)
            .map_err(|_| "cut, centre, or the number of a flat part of the open edge".into()),
    }
}

/// A hole's number, from 1.
fn hole_number(text: &str) -> Result<usize, String> {
    match text.trim().parse() {
        Ok(number @ 1..) => Ok(number),
        _ => Err("a hole's number, from 1 up".into()),
    }
}

/// Two lengths with a comma between: "42 cm,36 cm".
fn two_lengths_m(text: &str) -> Result<[f64; 2], String> {
    let (first, second) = text
        .split_once(',')
        .ok_or("two lengths with a comma between, for example \"42 cm,36 cm\"")?;
    Ok([length_m(first.trim())?, length_m(second.trim())?])
}

/// A length, to the nanometre: that is how a recipe writes it, so that its replay is the same.
fn length_m(text: &str) -> Result<f64, String> {
    super::length_m(text).map(|length_m| (length_m * 1e9).round() / 1e9)
}

/// How long round a hole may be.
fn girth_m(text: &str) -> Result<f64, String> {
    match length_m(text)? {
        girth_m if girth_m >= 0.0 => Ok(girth_m),
        _ => Err("a length round a hole is not negative".into()),
    }
}

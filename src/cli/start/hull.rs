//! A scan mended as `inspect` proposes.
use std::path::Path;

use clap::Parser;

use super::super::CommandError;
use super::super::mend::Steps;
use super::super::progress::Progress;
use crate::boat::MeshInMetres;
use crate::files::Disk;
use crate::mesh::{MendRecipe, Placement, PrepareOptions, Surface};
use crate::present::{Present, next_steps};
use crate::quantity::UnitSystem;
use crate::study::{
    AnsweredOpening, Because, FromScan, InspectResult, MendResult, Next, mend_scan,
};

/// The steps of `mend` as `inspect` writes them.
#[derive(Debug, Parser)]
struct Proposed {
    #[command(flatten)]
    steps: Steps,
}

/// The mending that `inspect` proposes.
pub(super) fn proposed(seen: &InspectResult) -> Result<MendRecipe, CommandError> {
    let cannot_lie = |why: &Because| matches!(why, Because::HowItLiesNotTold(_));
    if seen.next.contains(&Next::MendInAnEditor) || seen.because.iter().any(cannot_lie) {
        return Err(CommandError::Message(format!(
            "{}: {}\nIt must be mended by hand first, then start again with what was mended:\n- {}",
            seen.name,
            seen.summary(UnitSystem::Metric),
            next_steps(seen).join("\n- ")
        )));
    }
    let steps = seen.next.iter().find_map(|next| match next {
        Next::Mend(steps) => Some(steps.clone()),
        _ => None,
    });
    let arguments = std::iter::once("mend").chain(steps.unwrap_or_default());
    let read = Proposed::try_parse_from(arguments.flat_map(str::split_whitespace));
    let read = read.map_err(|error| CommandError::Message(error.to_string()))?;
    Ok(read.steps.recipe())
}

/// A mended hull, not yet written.
pub(super) struct Hull {
    pub(super) recipe: MendRecipe,
    pub(super) result: MendResult,
    pub(super) surface: Surface,
}

impl Hull {
    /// Mends a scan by a recipe and, where its length is known, to that.
    pub(super) fn of(
        scan: &Path,
        hull_file: &Path,
        recipe: MendRecipe,
        length_m: Option<f64>,
    ) -> Result<Self, CommandError> {
        let progress = Progress::new();
        progress.say("reading and welding");
        let read = crate::boat::read_mesh(&Disk, scan, None, true)?;
        let placement = Placement {
            scale_to_length_m: length_m,
            ..Placement::default()
        };
        let name = scan.display().to_string();
        let output = hull_file.display().to_string();
        let mended = mend_scan(&name, &output, read, &recipe, &placement, &progress);
        let (result, surface) =
            mended.map_err(|source| CommandError::Message(format!("{name}: {source}")))?;
        Ok(Self {
            recipe,
            result,
            surface,
        })
    }

    /// Fills the openings that are none, and numbers the others anew.
    pub(super) fn keep_only(
        &mut self,
        openings: &mut [AnsweredOpening],
    ) -> Result<(), CommandError> {
        let kept: Vec<usize> = openings.iter().map(|opening| opening.number).collect();
        let all = self.result.openings.len();
        let recipe = MendRecipe {
            fill: (1..=all).filter(|number| !kept.contains(number)).collect(),
            keep: kept.clone(),
            ..MendRecipe::default()
        };
        if recipe.fill.is_empty() {
            return Ok(());
        }
        let read = MeshInMetres {
            surface: std::mem::take(&mut self.surface),
            options: PrepareOptions::default(),
            doubts: Vec::new(),
            unit_guess: None,
            metres_a_unit: Some(1.0),
            carried: self.result.carried(),
        };
        let name = self.result.output.clone();
        let place = Placement::default();
        let mended = mend_scan(&name, &name, read, &recipe, &place, &Progress::new());
        let (result, surface) =
            mended.map_err(|source| CommandError::Message(format!("{name}: {source}")))?;
        if result.openings.len() != kept.len() {
            return Err(CommandError::Message(format!(
                "{} holes of the scan could not be filled: use awash mend with --fill, and awash init",
                recipe.fill.len()
            )));
        }
        self.surface = surface;
        self.result.not_seen = result.not_seen;
        let mut number = 0;
        self.result.openings.retain(|_| {
            number += 1;
            kept.contains(&number)
        });
        for (number, opening) in (1..).zip(openings) {
            opening.number = number;
        }
        Ok(())
    }

    pub(super) fn as_scanned(&self) -> FromScan {
        FromScan {
            keeps_small_holes: true,
            ..FromScan::of(&self.result, &self.recipe)
        }
    }

    /// Length, breadth and height, m.
    pub(super) fn size_m(&self) -> [f64; 3] {
        self.result.after.size_m
    }

    /// The stem's x, m.
    pub(super) fn stem_m(&self) -> f64 {
        self.surface.bounds().map_or(0.0, |(_, hi)| hi.x)
    }
}

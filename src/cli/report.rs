//! `awash report`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, Writes, put, refuse_existing, refuse_same};
use super::progress::Progress;
use super::{CommandError, Outcome, Output};
use crate::boat::{Boat, BoatFile, BoatMaker};
use crate::equilibrium::Afloat;
use crate::host::today;
use crate::present::{helper_sheet_html, report_html};
use crate::study::{Answer, Before, ReportResult, Way, report};

/// One page with everything: the verdict first, drawings, tables, cautions
///
/// The page is one HTML file that needs no network: read it in any browser, on a
/// phone too, or print it. With a boat BEFORE it also says what each change
/// does. --sheet writes the page for the helper at the water's edge, one sheet of
/// paper.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash report meshes/dipper/after.toml meshes/dipper/asfitted.toml -o report.html --sheet sheet.html"
)]
pub(super) struct Report {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Boat file of the craft before it was changed
    before: Option<PathBuf>,
    /// Where the page goes (HTML)
    #[arg(short, long, value_name = "FILE", value_parser = files::drawing_or_table())]
    output: PathBuf,
    /// Where the helper's sheet goes (HTML)
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    sheet: Option<PathBuf>,
    /// Replace pages that are already there
    #[arg(long)]
    force: bool,
}

impl Report {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let pages = std::iter::once(&self.output).chain(&self.sheet);
        for page in pages {
            refuse_existing(page, Writes::Page, self.force)?;
        }
        refuse_same(&[Some(&self.output), self.sheet.as_ref()])?;
        let maker = BoatMaker::default();
        let boat = output.load_floating_by(&maker, &self.boat)?;
        let before = self.before.as_deref();
        let before = before
            .map(|path| output.load_floating_by(&maker, path))
            .transpose()?;
        let mut result = self.studied(&maker, &boat, before.as_ref())?;
        result.made_on = today();
        let page = report_html(&result, output.units);
        put(&self.output, page.as_bytes(), self.force)?;
        if let Some(sheet) = &self.sheet {
            let page = helper_sheet_html(&result, output.units);
            put(sheet, page.as_bytes(), self.force)?;
        }
        output.print(&result)?;
        Ok(if result.fails_a_yardstick() {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }

    fn studied(
        &self,
        maker: &BoatMaker,
        (last, boat): &(BoatFile, Boat),
        before: Option<&(BoatFile, Boat)>,
    ) -> Result<Answer<ReportResult>, CommandError> {
        let progress = Progress::new();
        let afloat = Afloat::of(boat).watched_by(&progress);
        let (Some((first, before)), Some(path)) = (before, &self.before) else {
            let told = |source| CommandError::of_rest(&self.boat, boat, source);
            return report(afloat, None).map_err(told);
        };
        // Whichever of the two it is that finds no rest.
        let told = |source| {
            CommandError::Message(format!(
                "{} or {}: {source}",
                self.boat.display(),
                path.display()
            ))
        };
        let way = Way {
            before: first,
            after: last,
            make: &|file| maker.make(&self.boat, file),
        };
        let before = Before {
            afloat: Afloat::of(before),
            way,
        };
        report(afloat, Some(&before)).map_err(told)
    }
}

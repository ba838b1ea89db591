//! A raw scan that is looked at before it is a hull: what was found, the steps that mend
//! it, and what they leave.
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::background::Background;
use super::display_mesh::{DISPLAY_TRIANGLES, DisplayMesh};
use crate::boat::read_mesh;
use crate::files::{Disk, Files};
use crate::mesh::{Level, MendRecipe, MeshError, Placement, Surface};
use crate::present::{Present as _, next_steps};
use crate::quantity::UnitSystem;
use crate::study::{FromScan, InspectResult, MendResult, Next, inspect, mend_scan};

/// A step of mending.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// The floor goes.
    DropFloor,
    /// Only the largest piece stays.
    LargestOnly,
    /// Only the outer of the two sides of the skin stays.
    OuterSkin,
    /// It is turned the way it floats.
    Upright,
    /// The other end is the bow.
    SwapEnds,
    /// The other side is up.
    UpsideDown,
    /// Rough edges become smooth curves.
    SmoothRims,
}

impl Step {
    /// All of them, in the order in which they are done.
    pub const ALL: [Self; 7] = [
        Self::DropFloor,
        Self::LargestOnly,
        Self::OuterSkin,
        Self::Upright,
        Self::SwapEnds,
        Self::UpsideDown,
        Self::SmoothRims,
    ];

    /// Its name on buttons.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::DropFloor => "take the floor off",
            Self::LargestOnly => "keep only the largest piece",
            Self::OuterSkin => "keep only the outer skin",
            Self::Upright => "set it upright",
            Self::SwapEnds => "the other end is the bow",
            Self::UpsideDown => "the other side is up",
            Self::SmoothRims => "smooth rough edges",
        }
    }

    /// The option of `awash mend` that it is.
    fn option(self) -> &'static str {
        match self {
            Self::DropFloor => "--drop-floor",
            Self::LargestOnly => "--largest-only",
            Self::OuterSkin => "--outer-skin",
            Self::Upright => "--upright",
            Self::SwapEnds => "--swap-ends",
            Self::UpsideDown => "--upside-down",
            Self::SmoothRims => "--smooth-rims",
        }
    }

    fn set(self, recipe: &mut MendRecipe, on: bool) {
        match self {
            Self::DropFloor => recipe.drop_floor = on,
            Self::LargestOnly => recipe.largest_only = on,
            Self::OuterSkin => recipe.outer_skin = on,
            Self::Upright => recipe.upright = on.then_some(Level::Floor),
            Self::SwapEnds => recipe.swap_ends = on,
            Self::UpsideDown => recipe.upside_down = on,
            Self::SmoothRims => recipe.smooth_rims = on,
        }
    }

    fn is_in(self, recipe: &MendRecipe) -> bool {
        match self {
            Self::DropFloor => recipe.drop_floor,
            Self::LargestOnly => recipe.largest_only,
            Self::OuterSkin => recipe.outer_skin,
            Self::Upright => recipe.upright.is_some(),
            Self::SwapEnds => recipe.swap_ends,
            Self::UpsideDown => recipe.upside_down,
            Self::SmoothRims => recipe.smooth_rims,
        }
    }
}

/// How a scan is mended.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Wanted {
    /// The steps.
    pub recipe: MendRecipe,
    /// Length over all by tape, m.
    pub length_m: Option<f64>,
}

/// A scan as some steps left it.
#[derive(Debug)]
pub struct Mended {
    /// What was done; `None` of the scan as it came.
    pub result: Option<MendResult>,
    /// The steps.
    pub wanted: Wanted,
    /// The surface, m.
    pub surface: Surface,
    /// The same to draw.
    pub drawn: DisplayMesh,
    /// What is found of it, in sentences.
    pub found: Vec<String>,
    /// What is proposed.
    proposed: Vec<&'static str>,
}

impl Mended {
    fn of(
        surface: Surface,
        seen: &InspectResult,
        wanted: Wanted,
        result: Option<MendResult>,
    ) -> Self {
        let proposed = seen.next.iter().find_map(|next| match next {
            Next::Mend(options) => Some(options.clone()),
            _ => None,
        });
        let mut found = vec![seen.summary(UnitSystem::Metric)];
        found.extend(result.iter().flat_map(|result| {
            let steps = result.steps.iter();
            steps.map(|step| format!("{}: {}", step.step, step.done))
        }));
        if result.is_none() {
            // Without the commands, which are the steps here.
            let next = next_steps(seen).into_iter();
            found.extend(next.filter(|line| !line.starts_with("awash ")));
        }
        let faces = surface.faces.len();
        Self {
            drawn: DisplayMesh::new(&surface, faces, DISPLAY_TRIANGLES),
            surface,
            found,
            proposed: proposed.unwrap_or_default(),
            wanted,
            result,
        }
    }

    /// What mending told that the mesh does not show.
    #[must_use]
    pub fn from_scan(&self) -> FromScan {
        let result = self.result.as_ref();
        result.map_or_else(FromScan::default, |r| FromScan::of(r, &self.wanted.recipe))
    }
}

type Answered = Result<Box<Mended>, String>;

/// A scan that is looked at.
#[derive(Debug)]
pub struct ScanState {
    /// The mesh's file, which is never changed.
    pub path: PathBuf,
    /// As it is now.
    pub now: Box<Mended>,
    /// Steps that are asked for.
    pub wanted: Wanted,
    /// Counts meshes shown.
    pub version: u64,
    /// What keeps the steps asked for from being done, or what was done last.
    pub message: String,
    proposed: Vec<&'static str>,
    working: Background<Answered>,
    working_on: Wanted,
    failed: Option<Wanted>,
}

impl ScanState {
    /// Reads a mesh.
    ///
    /// # Errors
    /// [`MeshError`].
    pub fn open(path: &Path) -> Result<Self, MeshError> {
        let read = read_mesh(&Disk, path, None, true)?;
        let surface = read.surface.clone();
        let seen = inspect(&path.display().to_string(), read, &|_: &'static str| {});
        let now = Box::new(Mended::of(surface, &seen, Wanted::default(), None));
        Ok(Self {
            path: path.to_owned(),
            proposed: now.proposed.clone(),
            wanted: Wanted::default(),
            now,
            version: 0,
            message: String::new(),
            working: Background::idle(),
            working_on: Wanted::default(),
            failed: None,
        })
    }

    /// The window's title: the file, and how far it can be trusted.
    #[must_use]
    pub fn title(&self) -> String {
        let name = self.path.file_name().unwrap_or_default().to_string_lossy();
        if self.is_busy() {
            return format!("{name}: mending …");
        }
        let found = self.now.found.first().map_or("", String::as_str);
        let steps = self.now.result.as_ref().map_or(0, |r| r.steps.len());
        format!("{name}, {steps} steps done: {found}")
    }

    /// Whether a step is asked for.
    #[must_use]
    pub fn has(&self, step: Step) -> bool {
        step.is_in(&self.wanted.recipe)
    }

    /// Whether a step is proposed by what was found of the scan as it came.
    #[must_use]
    pub fn is_proposed(&self, step: Step) -> bool {
        self.proposed
            .iter()
            .any(|option| option.starts_with(step.option()))
    }

    /// Asks for a step, or no longer.
    pub fn ask(&mut self, step: Step, on: bool) {
        step.set(&mut self.wanted.recipe, on);
    }

    /// Whether steps are being done.
    #[must_use]
    pub fn is_busy(&self) -> bool {
        !self.working.is_idle()
    }

    /// Takes in what was done, and starts what is asked for.
    pub fn poll(&mut self) {
        if let Some((_, answer)) = self.working.poll() {
            self.take_in(answer);
        }
        self.start();
    }

    /// Waits until all is done.
    pub fn finish(&mut self) {
        self.start();
        while let Some((_, answer)) = self.working.wait() {
            self.take_in(answer);
            self.start();
        }
    }

    fn take_in(&mut self, answer: Answered) {
        match answer {
            Ok(mended) => {
                self.now = mended;
                self.version += 1;
                self.message.clear();
            }
            Err(why) => {
                self.message = why;
                self.failed = Some(self.working_on.clone());
            }
        }
    }

    fn start(&mut self) {
        let wanted = self.wanted.clone();
        let is_failed = self.failed.as_ref() == Some(&wanted);
        if wanted == self.now.wanted || is_failed || !self.working.is_idle() {
            return;
        }
        self.failed = None;
        self.working_on.clone_from(&wanted);
        let path = self.path.clone();
        self.working
            .start(self.version, move || mended(&path, wanted).map(Box::new));
    }
}

/// The scan with some steps done, from its file.
fn mended(path: &Path, wanted: Wanted) -> Result<Mended, String> {
    let told = |error: &dyn std::fmt::Display| error.to_string();
    let files: Arc<dyn Files> = Arc::new(Disk);
    let unit = wanted.length_m.map(|_| 1.0);
    let read = read_mesh(&*files, path, unit, false).map_err(|e| told(&e))?;
    let name = path.display().to_string();
    if wanted == Wanted::default() {
        let surface = read.surface.clone();
        let seen = inspect(&name, read, &|_: &'static str| {});
        return Ok(Mended::of(surface, &seen, wanted, None));
    }
    let placement = Placement {
        scale_to_length_m: wanted.length_m,
        ..Placement::default()
    };
    let silent = |_: &'static str| {};
    let (result, surface) =
        mend_scan(&name, "", read, &wanted.recipe, &placement, &silent).map_err(|e| told(&e))?;
    let read = crate::boat::MeshInMetres {
        surface: surface.clone(),
        options: crate::mesh::PrepareOptions::default(),
        doubts: Vec::new(),
        unit_guess: None,
        metres_a_unit: Some(1.0),
        carried: None,
    };
    let seen = inspect(&name, read, &silent);
    Ok(Mended::of(surface, &seen, wanted, Some(result)))
}

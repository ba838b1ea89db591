//! Everything the viewer knows and does, without a window.
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;

use super::background::Background;
use super::edits::Edits;
use super::ghost::Ghost;
use super::history::History;
use super::inside::{WaterInside, standing, swamping};
use super::lying::{readings_of, rest_near, rest_or_trouble};
use super::made::Made;
use super::picked::Picked;
use super::readings::Readings;
use super::shown::{Asks, Attitude, Before, Held, Show};
use super::subject::{Subject, SubjectError};
use super::tool::{Chosen, Tool};
use super::worst::{LeastKnock, WorstLean, least_knock, worst_lean};
use crate::boat::BoatFile;
use crate::equilibrium::{
    Afloat, Craft, Hold, Rest, Sills, find_rest_from, map_sphere, settle_worse,
};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;
use crate::quantity::UnitSystem;
use crate::study::{Answer, Knocked, SwampResult, swamp};

/// Pitch that can be held, deg: nearer to upright on an end heel means nothing.
const MOST_PITCH_DEG: f64 = 85.0;
/// Sinkage that can be held, as a share of the hull's height either way.
const MOST_SINKAGE_SHARE: f64 = 1.0;

/// What a boat has to be made anew for.
#[derive(Debug, Clone, Default, PartialEq)]
struct Built {
    condition: Option<String>,
    without: BTreeSet<String>,
    made: Vec<Made>,
    /// Names of what was put aboard.
    stowed: Vec<String>,
}

impl Built {
    fn of(edits: &Edits) -> Self {
        let stowed = edits.stowed().filter_map(|item| item.stowed.as_ref());
        Self {
            condition: edits.condition.clone(),
            without: edits.parts_off.clone(),
            made: edits
                .made
                .iter()
                .filter(|m| m.is_whole())
                .cloned()
                .collect(),
            stowed: stowed.map(|stowed| stowed.name.clone()).collect(),
        }
    }

    /// Whether both have the same things made and put aboard.
    fn is_made_alike(&self, other: &Self) -> bool {
        self.made == other.made && self.stowed == other.stowed
    }
}

/// Work with a message at its end, or why it could not be done.
pub type Job = Box<dyn FnOnce() -> Result<String, String> + Send>;

/// What is worked out beside the drawing: where it rests when it is set upright on the
/// water, as every study has it, and what is told of that.
#[derive(Debug, Default)]
struct Weighed {
    rest: Option<Rest>,
    /// Metacentric height across and along, held upright, m.
    upright_gm_m: Option<[f64; 2]>,
    lean: Option<WorstLean>,
    knock: Option<LeastKnock>,
}

impl Weighed {
    fn of(craft: &Craft, sills: &Sills) -> Self {
        let Ok(settled) = settle_worse(craft, sills) else {
            return Self::default();
        };
        let rest = &settled.rest;
        let map = map_sphere(craft, std::slice::from_ref(rest));
        Self {
            lean: worst_lean(craft, sills, rest),
            knock: map
                .ok()
                .and_then(|map| least_knock(craft, sills, rest, &map)),
            upright_gm_m: Some([
                settled.upright.gm_transverse_m(),
                settled.upright.gm_longitudinal_m(),
            ]),
            rest: Some(settled.rest),
        }
    }
}

/// The boat that is looked at, what was changed on it, how it lies and what
/// that means.
#[derive(Debug)]
pub struct ViewerState {
    subject: Subject,
    ghost: Option<Ghost>,
    edits: History<Edits>,
    /// The last of them that the boat shown was given.
    aboard: Edits,
    /// The file with each loading condition looked at so far.
    files: BTreeMap<Option<String>, BoatFile>,
    /// What the envelope shown is made of, and the one being built.
    shown: Built,
    building_as: Built,
    /// One that could not be made, and why.
    refused: Option<(Built, String)>,
    attitude: Attitude,
    rest: Option<Rest>,
    readings: Readings,
    waters_inside: Vec<WaterInside>,
    trouble: Option<String>,
    /// Counts changes of weights, openings and parts.
    stage: u64,
    /// Counts changes of the envelope and of which things are aboard.
    hull_version: u64,
    /// Counts boats made anew.
    rims_version: u64,
    worst: Option<(u64, Weighed)>,
    working_out_worst: Background<Weighed>,
    /// It lies where it was let go by hand, which need not be where it comes to by itself.
    let_go_by_hand: bool,
    film: Option<Answer<SwampResult>>,
    filming: Background<Result<Answer<SwampResult>, String>>,
    building: Background<Result<Box<Subject>, SubjectError>>,
    job: Background<Result<String, String>>,
    /// What is drawn.
    pub show: Show,
    /// How the boat is pushed under when that is asked for.
    pub knocked: Knocked,
    /// What a click in the picture does.
    pub tool: Tool,
    /// What was clicked last of openings, things aboard and parts.
    pub chosen: Option<Chosen>,
    /// Where was clicked: the last place, or two to measure between.
    pub picked: Vec<Picked>,
    /// The boat as it was is shown in the place of the one as it is.
    looks_back: bool,
    /// What of the edits is saved.
    saved: Edits,
    /// The readings before each thing was made or put aboard.
    before_it: BTreeMap<String, Readings>,
    /// Whether the mouse has hold of something in the picture: the step to undo
    /// goes on.
    pub in_hand: bool,
    /// Units of everything written.
    pub units: UnitSystem,
    /// A message for the user until the next change.
    pub message: String,
    /// File name typed for saving.
    pub save_as: String,
    /// What is asked of the user before anything else.
    pub asks: Option<Asks>,
    /// It is to be saved.
    pub wants_saving: bool,
    /// A picture of the window is wanted.
    pub wants_picture: bool,
    /// The window is to be closed, saved or not.
    pub closes: bool,
    /// Another boat that is to be opened.
    pub opens: Option<PathBuf>,
}

impl ViewerState {
    /// Looks at a boat, at rest, beside what it was before.
    #[must_use]
    pub fn new(subject: Subject, before: Option<Subject>) -> Self {
        let craft = subject.craft();
        let (rest, trouble) = rest_or_trouble(Afloat::of(&subject.boat).rest().cloned());
        let readings = readings_of(&subject, &craft, rest.as_ref());
        let waters_inside = standing(&subject, &readings.plane);
        let ghost = before.map(Ghost::at_rest);
        let edits = Edits::none(&subject.file, subject.condition.clone());
        let stem = subject.path.file_stem().unwrap_or_default();
        let save_as = format!("{}-changed.toml", stem.to_string_lossy());
        Self {
            files: BTreeMap::from([(subject.condition.clone(), subject.file.clone())]),
            shown: Built::of(&edits),
            aboard: edits.clone(),
            saved: edits.clone(),
            building_as: Built::default(),
            refused: None,
            tool: Tool::Look,
            chosen: None,
            picked: Vec::new(),
            looks_back: false,
            before_it: BTreeMap::new(),
            edits: History::new(edits),
            attitude: Attitude::Afloat,
            rest,
            readings,
            waters_inside,
            trouble,
            stage: 0,
            hull_version: 0,
            rims_version: 0,
            worst: None,
            working_out_worst: Background::idle(),
            let_go_by_hand: false,
            film: None,
            filming: Background::idle(),
            building: Background::idle(),
            job: Background::idle(),
            show: Show {
                water: true,
                items: true,
                labels: true,
                before: Before::Over,
                see_through: false,
                help: false,
                panel: true,
                section: None,
            },
            knocked: Knocked::default(),
            in_hand: false,
            units: UnitSystem::Metric,
            message: String::new(),
            save_as,
            asks: None,
            wants_saving: false,
            wants_picture: false,
            closes: false,
            opens: None,
            ghost,
            subject,
        }
    }

    /// The boat as changed.
    #[must_use]
    pub fn subject(&self) -> &Subject {
        &self.subject
    }

    /// The boat before, where one was given.
    #[must_use]
    pub fn ghost(&self) -> Option<&Ghost> {
        self.ghost.as_ref()
    }

    /// What was changed.
    #[must_use]
    pub fn edits(&self) -> &Edits {
        self.edits.now()
    }

    /// What was changed as the boat shown has it: one that is of another load
    /// condition than [`Self::edits`] keeps what it had.
    #[must_use]
    pub fn aboard(&self) -> &Edits {
        &self.aboard
    }

    /// How the boat before is drawn; hidden where there is none.
    #[must_use]
    pub fn before(&self) -> Before {
        match self.ghost {
            Some(_) => self.show.before,
            None => Before::Hidden,
        }
    }

    /// The boat's file with the loading condition chosen: its items are those of
    /// [`Self::edits`], also while the boat of that condition is still being made.
    #[must_use]
    pub fn file(&self) -> &BoatFile {
        let file = self.files.get(&self.edits.now().condition);
        file.unwrap_or(&self.subject.file)
    }

    /// Chooses a loading condition, or the file as it stands. What was changed stays
    /// changed; the boat of that condition comes with [`Self::poll`].
    pub fn choose_condition(&mut self, condition: Option<&str>) {
        let condition = condition.map(str::to_owned);
        if !self.files.contains_key(&condition) {
            match self.subject.file_in(condition.as_deref()) {
                Ok(file) => {
                    self.files.insert(condition.clone(), file);
                }
                Err(error) => {
                    self.message = error.to_string();
                    return;
                }
            }
        }
        let from = self.file();
        let to = self.files.get(&condition).unwrap_or(from);
        let next = self.edits.now().in_condition(condition, from, to);
        self.let_go();
        self.change(|edits, _| *edits = next);
        self.let_go();
    }

    /// Whether the boat of the loading condition chosen is still being made.
    #[must_use]
    pub fn awaits_condition(&self) -> bool {
        self.edits.now().condition != self.subject.condition
    }

    /// Steps that can be undone and done again.
    #[must_use]
    pub fn steps(&self) -> (usize, usize) {
        (self.edits.undoable(), self.edits.redoable())
    }

    /// How the craft lies.
    #[must_use]
    pub fn attitude(&self) -> Attitude {
        self.attitude
    }

    /// The attitude held, or the one at rest in the same words.
    #[must_use]
    pub fn held(&self) -> Held {
        match self.attitude {
            Attitude::Held(held) => held,
            Attitude::Afloat | Attitude::Film(_) => Held {
                heel_deg: self.readings.plane.heel_deg(),
                pitch_deg: self.readings.plane.pitch_deg(),
                sinkage_m: 0.0,
                sinkage_follows: true,
            },
        }
    }

    /// The numbers.
    #[must_use]
    pub fn readings(&self) -> &Readings {
        &self.readings
    }

    /// Why there is no rest, in words.
    #[must_use]
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// Counts changes of the envelope: a drawn hull is stale when it differs.
    #[must_use]
    pub fn hull_version(&self) -> u64 {
        self.hull_version
    }

    /// Counts changes of weights, openings and parts.
    #[must_use]
    pub fn stage(&self) -> u64 {
        self.stage
    }

    /// Counts boats made anew: holes drawn are stale when it differs.
    #[must_use]
    pub fn rims_version(&self) -> u64 {
        self.rims_version
    }

    /// The lean that floods it soonest, and whether that is of the boat as it is
    /// now. `None` until the first is known.
    #[must_use]
    pub fn worst(&self) -> Option<(&Option<WorstLean>, bool)> {
        let (stage, weighed) = self.worst.as_ref()?;
        Some((&weighed.lean, *stage == self.stage))
    }

    /// The least knock, and whether that is of the boat as it is now.
    #[must_use]
    pub fn least_knock(&self) -> Option<(&Option<LeastKnock>, bool)> {
        let (stage, weighed) = self.worst.as_ref()?;
        Some((&weighed.knock, *stage == self.stage))
    }

    /// Its metacentric height across and along when held upright, m, where it lies as it
    /// comes to rest by itself.
    #[must_use]
    pub fn upright_gm_m(&self) -> Option<[f64; 2]> {
        let (stage, weighed) = self.worst.as_ref()?;
        let by_itself = self.attitude == Attitude::Afloat && !self.let_go_by_hand;
        weighed
            .upright_gm_m
            .filter(|_| by_itself && *stage == self.stage)
    }

    /// What happens when it is pushed under, once asked for.
    #[must_use]
    pub fn film(&self) -> Option<&Answer<SwampResult>> {
        self.film.as_ref()
    }

    /// Whether work goes on beside the drawing.
    #[must_use]
    pub fn is_busy(&self) -> bool {
        let idle = self.working_out_worst.is_idle() && self.filming.is_idle();
        !(idle && self.building.is_idle() && self.job.is_idle())
    }

    /// Whether a swamping is being worked out.
    #[must_use]
    pub fn is_filming(&self) -> bool {
        !self.filming.is_idle()
    }

    /// Whether parts are being joined anew.
    #[must_use]
    pub fn is_building(&self) -> bool {
        !self.building.is_idle()
    }

    /// Range of sinkages that can be held, m either way.
    #[must_use]
    pub fn most_sinkage_m(&self) -> f64 {
        let (lo, hi) = self.subject.boat.hull_box_m;
        MOST_SINKAGE_SHARE * (hi.z - lo.z)
    }

    /// Changes items, openings or parts. Until [`Self::let_go`], changes count
    /// as one step to undo.
    pub fn change(&mut self, change: impl FnOnce(&mut Edits, &Subject)) {
        self.look_back(false);
        let mut next = self.edits.now().clone();
        change(&mut next, &self.subject);
        if next == *self.edits.now() {
            return;
        }
        if self.ghost.is_none() {
            self.ghost = Some(Ghost::at_rest(self.subject.clone()));
            self.show.before = Before::Hidden;
        }
        self.edits.change(next);
        self.follow_edits();
    }

    /// Ends a step to undo.
    pub fn let_go(&mut self) {
        self.edits.let_go();
    }

    /// Takes the last change back.
    pub fn undo(&mut self) {
        self.look_back(false);
        if self.edits.undo() {
            self.follow_edits();
        }
    }

    /// Makes a change that was taken back again.
    pub fn redo(&mut self) {
        self.look_back(false);
        if self.edits.redo() {
            self.follow_edits();
        }
    }

    fn follow_edits(&mut self) {
        self.message.clear();
        self.stage += 1;
        self.let_go_by_hand = false;
        self.film = None;
        if matches!(self.attitude, Attitude::Film(_)) {
            self.attitude = Attitude::Afloat;
        }
        // With other items its boat is on its way.
        if self.edits.now().fits(&self.subject) {
            self.aboard.clone_from(self.edits.now());
            self.aboard.apply(&mut self.subject);
            if let Some(why) = &self.subject.no_rim {
                self.message.clone_from(why);
            }
            self.resolve();
        }
    }

    /// Shows the boat as it was in the place of the one as it is, or this again. There is
    /// no boat as it was until something is changed or one was given.
    pub fn look_back(&mut self, back: bool) {
        let Some(ghost) = &mut self.ghost else {
            return;
        };
        if back == self.looks_back {
            return;
        }
        self.looks_back = back;
        std::mem::swap(&mut self.subject, &mut ghost.subject);
        std::mem::swap(&mut self.readings, &mut ghost.readings);
        std::mem::swap(&mut self.waters_inside, &mut ghost.waters_inside);
        std::mem::swap(&mut self.aboard, &mut ghost.edits);
        self.hull_version += 1;
        self.chosen = None;
        self.picked.clear();
    }

    /// Whether the boat as it was is shown.
    #[must_use]
    pub fn looks_back(&self) -> bool {
        self.looks_back
    }

    /// Notes the readings before something is made.
    pub(super) fn note_before(&mut self, name: &str) {
        self.before_it
            .insert(name.to_owned(), self.readings.clone());
    }

    /// What a thing made or put aboard here has changed since before it was: mass, kg, how
    /// much deeper the hull's middle lies and how much higher the lowest sill stands, m.
    #[must_use]
    pub fn gained(&self, name: &str) -> Option<[f64; 3]> {
        let before = self.before_it.get(name)?;
        let now = &self.readings;
        let depth_m = |readings: &Readings| -readings.plane.height_m(&self.middle_m());
        let sill_m = |readings: &Readings| readings.lowest().and_then(|o| o.freeboard_m);
        let (now_m, before_m) = (sill_m(now)?, sill_m(before)?);
        Some([
            now.mass_kg - before.mass_kg,
            depth_m(now) - depth_m(before),
            now_m - before_m,
        ])
    }

    /// Whether something is changed that is not saved.
    #[must_use]
    pub fn is_unsaved(&self) -> bool {
        self.saved != *self.edits.now()
    }

    /// Opens another boat, after asking where something is not saved.
    pub fn ask_to_open(&mut self, path: PathBuf) {
        if self.is_unsaved() {
            self.asks = Some(Asks::Leave(Some(path)));
        } else {
            self.asks = None;
            self.opens = Some(path);
        }
    }

    /// Closes the window, after asking where something is not saved.
    pub fn ask_to_close(&mut self) {
        if self.is_unsaved() {
            self.asks = Some(Asks::Leave(None));
        } else {
            self.closes = true;
        }
    }

    /// Notes that everything is saved.
    pub fn note_saved(&mut self) {
        self.saved.clone_from(self.edits.now());
    }

    /// What the last step did, and the one that was taken back last, in words.
    #[must_use]
    pub fn steps_in_words(&self) -> [Option<String>; 2] {
        let now = self.edits.now();
        [
            self.edits
                .last()
                .map(|before| now.since(before, self.file())),
            self.edits.next().map(|after| after.since(now, self.file())),
        ]
    }

    /// Why the boat could not be made with what was made here.
    #[must_use]
    pub fn refused(&self) -> Option<&str> {
        let (_, why) = self.refused.as_ref()?;
        Some(why)
    }

    /// Holds it at a heel, deg.
    pub fn hold_heel(&mut self, heel_deg: f64) {
        if heel_deg.is_finite() {
            let heel_deg = heel_deg.clamp(-180.0, 180.0);
            self.hold(Held {
                heel_deg,
                ..self.held()
            });
        }
    }

    /// Holds it at a pitch, deg.
    pub fn hold_pitch(&mut self, pitch_deg: f64) {
        if pitch_deg.is_finite() {
            let pitch_deg = pitch_deg.clamp(-MOST_PITCH_DEG, MOST_PITCH_DEG);
            self.hold(Held {
                pitch_deg,
                ..self.held()
            });
        }
    }

    /// Holds it at a sinkage, m: weight and displacement need not agree.
    pub fn hold_sinkage(&mut self, sinkage_m: f64) {
        if sinkage_m.is_finite() {
            let most = self.most_sinkage_m();
            self.hold(Held {
                sinkage_m: sinkage_m.clamp(-most, most),
                sinkage_follows: false,
                ..self.held()
            });
        }
    }

    /// Lets the sinkage follow the weight, or not.
    pub fn let_sinkage_follow(&mut self, follows: bool) {
        self.hold(Held {
            sinkage_follows: follows,
            ..self.held()
        });
    }

    fn hold(&mut self, held: Held) {
        self.look_back(false);
        self.attitude = Attitude::Held(held);
        self.resolve();
    }

    /// Lets go of it where it is: it goes to the rest nearest downhill.
    pub fn let_it_float(&mut self) {
        self.look_back(false);
        self.let_go_by_hand = true;
        let from = self.readings.plane;
        self.attitude = Attitude::Afloat;
        self.float_from(Some(&from));
        self.read_off();
    }

    /// Sets it upright on the water and lets it go.
    pub fn set_upright(&mut self) {
        self.look_back(false);
        self.let_go_by_hand = false;
        self.attitude = Attitude::Afloat;
        self.float_from(None);
        self.read_off();
    }

    /// Shows a moment of the swamping.
    pub fn show_moment(&mut self, line: usize) {
        self.look_back(false);
        let lines = self.film.as_ref().map_or(0, |film| film.time_line.len());
        if lines > 0 {
            self.attitude = Attitude::Film(line.min(lines - 1));
            self.read_off();
        }
    }

    /// What stands inside: as the boat has it, or at the moment shown.
    #[must_use]
    pub fn waters_inside(&self) -> &[WaterInside] {
        &self.waters_inside
    }

    /// Works out what happens when it is pushed under as `knocked` says. The
    /// answer comes with [`Self::poll`].
    pub fn push_it_under(&mut self) {
        if self.filming.is_idle() {
            self.look_back(false);
            let (edits, subject) = (self.edits.now().clone(), self.subject.clone());
            let knocked = self.knocked;
            self.filming.start(self.stage, move || {
                let made = subject.as_edited(&edits);
                let made = made.map_err(|error| error.to_string())?;
                swamp(&made.boat, &knocked).map_err(|error| error.to_string())
            });
        }
    }

    /// Starts work that ends with a message, unless another goes on.
    pub fn start_job(&mut self, job: Job) {
        if self.job.is_idle() {
            "Working …".clone_into(&mut self.message);
            self.job.start(self.stage, job);
        }
    }

    /// Takes in what was worked out meanwhile, and starts what is due.
    pub fn poll(&mut self) {
        let worst = self.working_out_worst.poll();
        let film = self.filming.poll();
        let built = self.building.poll();
        if let Some((_, done)) = self.job.poll() {
            self.message = done.unwrap_or_else(|why| why);
        }
        self.take_in(worst, film, built);
        self.start_due();
    }

    /// Waits until everything is worked out.
    pub fn finish(&mut self) {
        self.start_due();
        while self.is_busy() {
            let built = self.building.wait();
            let film = self.filming.wait();
            let worst = self.working_out_worst.wait();
            if let Some((_, done)) = self.job.wait() {
                self.message = done.unwrap_or_else(|why| why);
            }
            self.take_in(worst, film, built);
            self.start_due();
        }
    }

    fn start_due(&mut self) {
        let wanted = Built::of(self.edits.now());
        let is_refused = self.refused.as_ref().is_some_and(|(no, _)| *no == wanted);
        if !is_refused {
            self.refused = None;
        }
        if wanted != self.shown && self.building.is_idle() && !is_refused && !self.looks_back {
            self.building_as = wanted;
            let (subject, base) = (self.subject.clone(), self.file().clone());
            let edits = self.edits.now().clone();
            self.building.start(self.stage, move || {
                let mut made = subject.with(&base, &edits)?;
                if !made.drawn_as(&subject) {
                    let _ = made.drawn();
                }
                Ok(Box::new(made))
            });
        }
        let stale = self
            .worst
            .as_ref()
            .is_none_or(|(stage, _)| *stage != self.stage);
        let is_still = self.building.is_idle() && !self.looks_back && !self.in_hand;
        if stale && self.working_out_worst.is_idle() && is_still {
            let craft = self.subject.craft();
            let sills = Sills::of(&self.subject.boat.openings);
            self.working_out_worst
                .start(self.stage, move || Weighed::of(&craft, &sills));
        }
    }

    fn take_in(
        &mut self,
        worst: Option<(u64, Weighed)>,
        film: Option<(u64, Result<Answer<SwampResult>, String>)>,
        built: Option<(u64, Result<Box<Subject>, SubjectError>)>,
    ) {
        if let Some((stage, found)) = worst {
            let is_now = stage == self.stage && !self.looks_back && !self.let_go_by_hand;
            if let Some(rest) = found.rest.as_ref().filter(|_| is_now) {
                self.rest = Some(rest.clone());
                if self.attitude == Attitude::Afloat {
                    self.read_off();
                }
            }
            self.worst = Some((stage, found));
        }
        match film {
            Some((stage, Ok(film))) if stage == self.stage => {
                self.film = Some(film);
                self.show_moment(0);
            }
            Some((_, Err(error))) => self.message = error,
            _ => {}
        }
        match built {
            // Another loading condition may have been chosen meanwhile.
            Some((_, Ok(subject))) if subject.condition == self.edits.now().condition => {
                self.take_envelope(*subject);
            }
            Some((_, Ok(_))) | None => {}
            // Something made here that cannot be: it stays to be moved or taken back.
            Some((_, Err(error))) if !self.building_as.is_made_alike(&self.shown) => {
                self.message = error.to_string();
                let refused = std::mem::take(&mut self.building_as);
                self.refused = Some((refused, error.to_string()));
            }
            Some((_, Err(error))) => {
                let Built {
                    condition, without, ..
                } = self.shown.clone();
                let mut back = match self.files.get(&condition) {
                    Some(to) => self.edits.now().in_condition(condition, self.file(), to),
                    None => self.edits.now().clone(),
                };
                back.parts_off = without;
                self.let_go();
                self.change(|edits, _| *edits = back);
                self.let_go();
                self.message = error.to_string();
            }
        }
    }

    fn take_envelope(&mut self, subject: Subject) {
        self.look_back(false);
        let left_out = subject.left_out.join(", ");
        let same_hull = Arc::ptr_eq(&subject.boat.tree, &self.subject.boat.tree);
        self.subject = subject;
        self.shown.clone_from(&self.building_as);
        self.rims_version += 1;
        if !same_hull || self.subject.file.items.len() != self.aboard.items.len() {
            self.hull_version += 1;
        }
        let message = std::mem::take(&mut self.message);
        self.follow_edits();
        if self.message.is_empty() {
            self.message = message;
        }
        if !left_out.is_empty() {
            self.message = format!("Left out with its part: {left_out}");
        }
    }

    /// Finds rest and readings again: what each frame costs the kernel.
    pub fn resolve(&mut self) {
        let near = self.rest.as_ref().map(|rest| *rest.plane());
        self.float_from(near.as_ref());
        self.read_off();
    }

    fn float_from(&mut self, near: Option<&WaterPlane>) {
        let craft = self.subject.craft();
        (self.rest, self.trouble) = rest_or_trouble(rest_near(&craft, near));
    }

    fn read_off(&mut self) {
        let craft = self.subject.craft();
        self.readings = match self.attitude {
            Attitude::Afloat => readings_of(&self.subject, &craft, self.rest.as_ref()),
            Attitude::Held(held) => {
                let (held, plane) = self.held_plane(&craft, held);
                self.attitude = Attitude::Held(held);
                Readings::at(&self.subject.boat, &craft, &plane, true)
            }
            Attitude::Film(line) => match self.film.as_ref().map(|film| &film.time_line[line]) {
                Some(line) => {
                    let plane = WaterPlane {
                        up: Vec3::from(line.up),
                        level_m: line.outside_level_m,
                    };
                    Readings::at(&self.subject.boat, &craft, &plane, true)
                }
                None => readings_of(&self.subject, &craft, self.rest.as_ref()),
            },
        };
        let moment = match self.attitude {
            Attitude::Film(line) => self.film.as_ref().map(|film| &film.time_line[line]),
            Attitude::Afloat | Attitude::Held(_) => None,
        };
        self.waters_inside = match moment {
            Some(moment) => swamping(&self.subject, moment),
            None => standing(&self.subject, &self.readings.plane),
        };
    }

    /// The plane of a held attitude; the sinkage with it where that follows.
    fn held_plane(&self, craft: &Craft, mut held: Held) -> (Held, WaterPlane) {
        let up = WaterPlane::at_attitude(held.heel_deg, held.pitch_deg, 0.0).up;
        let middle = self.middle_m();
        let at_rest = self
            .rest
            .as_ref()
            .map_or(0.0, |rest| rest.plane().height_m(&middle));
        let mut plane = WaterPlane {
            up,
            level_m: up.dot(&middle) - (at_rest - held.sinkage_m),
        };
        if held.sinkage_follows
            && let Ok(rest) = find_rest_from(craft, &plane, Hold::Attitude)
        {
            plane = *rest.plane();
            held.sinkage_m = at_rest - plane.height_m(&middle);
        }
        (held, plane)
    }

    /// The middle of the hull's bottom: sinkage is its drop, m.
    fn middle_m(&self) -> Vec3 {
        let (lo, hi) = self.subject.boat.hull_box_m;
        Vec3::new(
            f64::midpoint(lo.x, hi.x),
            f64::midpoint(lo.y, hi.y),
            self.subject.boat.marks.base_z_m,
        )
    }
}

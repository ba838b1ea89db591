//! How often a boat is worked out, and that long work can be stopped.
use std::sync::atomic::{AtomicUsize, Ordering};

use awash::boat::{BoatFile, BoatMaker};
use awash::equilibrium::{Afloat, EquilibriumError, Made};
use awash::progress::{Cancelled, Progress};
use awash::study::{
    Before, Knocked, PlaceOptions, SwampError, Way, compare, float, place, report, spread, swamp,
};

use super::zoo::{decked_hull, narrow_box};

/// Each thing once.
const ONCE: Made = Made {
    rests: 1,
    maps: 1,
    knocks: 1,
    roses: 1,
    least_leans: 0,
};

/// Internal consistency: a report with a boat before looks once for the rest of each, and
/// maps and leans it once; what asks again gets what was found.
#[test]
fn a_report_looks_for_the_rest_of_each_boat_once() {
    let hull = narrow_box();
    let folder = tempfile::tempdir().expect("a folder");
    let lead = "[[item]]\nname = \"lead\"\nmass = \"3 kg ± 1 kg\"\nat = { from_stem = 1, from_middle = 0, over_base = \"5 cm\" }\n";
    let paths = [
        hull.write(folder.path(), ""),
        folder.path().join("after.toml"),
    ];
    let text = std::fs::read_to_string(&paths[0]).expect("text");
    std::fs::write(&paths[1], text + lead).expect("written");
    let files = paths
        .each_ref()
        .map(|path| BoatFile::read(path).expect("read"));
    let maker = BoatMaker::default();
    let make = |file: &BoatFile| maker.make(&paths[1], file);
    let [was, is] = files.each_ref().map(|file| make(file).expect("made"));
    let (was, is) = (Afloat::of(&was), Afloat::of(&is));
    let way = Way {
        before: &files[0],
        after: &files[1],
        make: &make,
    };
    let before = Before {
        afloat: was.clone(),
        way,
    };
    let result = report(&is, Some(&before)).expect("both float");
    assert!(result.failed.is_empty(), "{:?}", result.failed);
    // The hull is kept once a tape reading was put on it: that is no change of it.
    let steps = result.result.compare.and_then(|compared| compared.steps);
    assert_eq!(steps.map(|steps| steps.lines.len()), Some(1));
    assert_eq!(is.made(), ONCE);
    assert_eq!(was.made(), ONCE);
    compare([&was, &is], Some(&way)).expect("both float");
    place(
        &is,
        "lead",
        &PlaceOptions {
            grid: [2, 2],
            z_m: None,
        },
    )
    .expect("it floats");
    float(&is).expect("it floats");
    assert_eq!(is.made(), ONCE);
    assert_eq!(was.made(), ONCE);
}

/// Says stop once it has been told so often of parts done.
struct StopsAfter {
    parts: usize,
    told: AtomicUsize,
}

impl StopsAfter {
    fn parts(parts: usize) -> Self {
        Self {
            parts,
            told: AtomicUsize::new(0),
        }
    }
}

impl Progress for StopsAfter {
    fn stage(&self, _name: &'static str) {}

    fn done(&self, _parts: usize, _of: usize) {
        self.told.fetch_add(1, Ordering::Relaxed);
    }

    fn is_cancelled(&self) -> bool {
        self.told.load(Ordering::Relaxed) >= self.parts
    }
}

/// A draw or a place that has begun on another thread may still be told of.
const THREADS_AT_MOST: usize = 1024;

#[test]
fn long_studies_stop_when_told_to() {
    let boat = decked_hull()
        .boat_with("[[item]]\nname = \"lead\"\nmass = \"3 kg ± 1 kg\"\nat = [1.3, 0, 0.1]\n");
    let stopped = EquilibriumError::Cancelled(Cancelled);
    let watch = StopsAfter::parts(5);
    let watched = Afloat::of(&boat).watched_by(&watch);
    let found = spread(&watched, 1_000_000, 1).expect_err("stopped");
    assert_eq!(found, stopped);
    let told = watch.told.load(Ordering::Relaxed);
    assert!((5..5 + THREADS_AT_MOST).contains(&told), "{told}");
    let watch = StopsAfter::parts(5);
    let watched = Afloat::of(&boat).watched_by(&watch);
    let found = place(&watched, "lead", &PlaceOptions::default()).expect_err("stopped");
    assert_eq!(found.to_string(), stopped.to_string());
    let watch = StopsAfter::parts(0);
    let watched = Afloat::of(&boat).watched_by(&watch);
    let found = swamp(&watched, &Knocked::default()).expect_err("stopped");
    assert!(matches!(found, SwampError::Equilibrium(error) if error == stopped));
    assert_eq!(report(&watched, None).expect_err("stopped"), stopped);
}

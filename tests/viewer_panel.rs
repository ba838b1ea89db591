//! The panel, driven without a window.
use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use awash::numerics::Vec3;
use awash::quantity::UnitSystem;
use awash::study::Start;
use awash::viewer::{
    Attitude, Before, Desk, Job, NotSaved, Opened, Ray, ScanState, Subject, Tool, View,
    ViewerState, panel,
};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use kiss3d::egui;

type Saved = Rc<RefCell<Vec<String>>>;

struct Shown {
    state: ViewerState,
    asked: Option<View>,
}

/// Keeps what is saved; a file "taken.toml" is there already.
struct Keeps(Saved);

impl Desk for Keeps {
    fn save(&mut self, state: &ViewerState, replace: bool) -> Result<String, NotSaved> {
        if state.save_as == "taken.toml" && !replace {
            return Err(NotSaved::InTheWay(
                "taken.toml is already there.".to_owned(),
            ));
        }
        let text = state.edits().to_toml(state.file(), "after.toml");
        self.0.borrow_mut().push(text);
        Ok("Saved".to_owned())
    }

    fn put_picture(&mut self, _: &ViewerState, _: &[u8]) -> Result<String, String> {
        Ok("Picture".to_owned())
    }

    fn report(&mut self, _: &ViewerState) -> Job {
        Box::new(|| Ok("Report".to_owned()))
    }

    fn open(&mut self, _: &Path) -> Result<Opened, String> {
        Err("nothing to open".to_owned())
    }

    fn keep_hull(&mut self, _: &ScanState) -> Result<PathBuf, String> {
        Err("no hull".to_owned())
    }

    fn list(&mut self, _: &Path) -> Vec<PathBuf> {
        vec![PathBuf::from("other.toml")]
    }
}

fn boats(name: &str) -> Subject {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats");
    Subject::load(&folder.join(name)).expect("a boat of the tests")
}

/// The panel on the tests' boats, and what it saved.
fn harness() -> (Harness<'static, Shown>, Saved) {
    harness_of("after.toml")
}

fn harness_of(name: &str) -> (Harness<'static, Shown>, Saved) {
    let saved = Saved::default();
    let keeps = Rc::clone(&saved);
    let state = ViewerState::new(boats(name), Some(boats("before.toml")));
    let app = move |ui: &mut egui::Ui, shown: &mut Shown| {
        let asked = panel(ui.ctx(), &mut shown.state, &mut Keeps(Rc::clone(&keeps)));
        shown.asked = asked.or(shown.asked);
    };
    let shown = Shown { state, asked: None };
    let mut harness = Harness::builder()
        .with_size(egui::vec2(1000.0, 2400.0))
        .build_ui_state(app, shown);
    harness.run_steps(3);
    for fold in ["File", "All readings", "Hold it over"] {
        harness.get_by_label(fold).click();
        harness.run_steps(20);
    }
    (harness, saved)
}

fn click(harness: &mut Harness<'_, Shown>, label: &str) {
    harness.get_by_label(label).click();
    harness.run_steps(3);
}

#[test]
fn it_shows_the_readings_and_what_they_were_before() {
    let (mut harness, _) = harness();
    harness.state_mut().state.units = UnitSystem::Us;
    harness.run_steps(3);
    assert_eq!(harness.state().state.steps(), (0, 0));
    harness.state_mut().state.units = UnitSystem::Metric;
    harness.run_steps(3);
    for text in [
        "Displacement",
        "198.8 kg",
        "GM across, along",
        "transom notch",
        "person",
    ] {
        assert!(harness.query_all_by_label(text).next().is_some(), "{text}");
    }
    // Being shown changes nothing, however it is rounded.
    assert_eq!(harness.state().state.attitude(), Attitude::Afloat);
    assert_eq!(harness.state().state.steps(), (0, 0));
    // The cockpit's freeboard, and that of the hull before.
    assert!(
        harness
            .query_all_by_label_contains("(was 223 mm)")
            .next()
            .is_some(),
        "the ghost's freeboard"
    );
}

#[test]
fn the_heel_slider_holds_it_over_and_let_it_float_brings_it_back() {
    let (mut harness, _) = harness();
    let slider = harness
        .get_by_role_and_label(egui::accesskit::Role::Slider, "heel, starboard down +")
        .rect();
    let from = slider.center();
    harness.drag_at(from);
    harness.run_steps(2);
    harness.hover_at(from + egui::vec2(30.0, 0.0));
    harness.run_steps(2);
    harness.drop_at(from + egui::vec2(30.0, 0.0));
    harness.run_steps(2);
    let heel = match harness.state().state.attitude() {
        Attitude::Held(held) => held.heel_deg,
        other => panic!("not held: {other:?}"),
    };
    assert!(heel.abs() > 3.0, "{heel}");
    let now = harness
        .get_by_role_and_label(egui::accesskit::Role::Slider, "heel, starboard down +")
        .rect();
    assert_eq!(now, slider, "it stays where it is dragged");
    let lever = harness.state().state.readings().lever_m;
    assert!(lever > 1e-3);
    click(&mut harness, "Let it float");
    assert_eq!(harness.state().state.attitude(), Attitude::Afloat);
    assert!(harness.state().state.readings().lever_m < 1e-8);
}

#[test]
fn a_cover_ticked_changes_the_verdict_and_can_be_undone() {
    let (mut harness, _) = harness();
    let lowest = |harness: &Harness<'_, Shown>| {
        harness
            .state()
            .state
            .readings()
            .lowest()
            .unwrap()
            .name
            .clone()
    };
    assert_eq!(lowest(&harness), "transom notch");
    let openings = &harness.state().state.readings().openings;
    let row = openings
        .iter()
        .position(|o| o.name == "transom notch")
        .unwrap();
    harness.get_all_by_label("cover").nth(row).unwrap().click();
    harness.run_steps(3);
    assert_ne!(lowest(&harness), "transom notch");
    assert_eq!(harness.state().state.steps(), (1, 0));
    click(&mut harness, "Undo");
    assert_eq!(lowest(&harness), "transom notch");
    click(&mut harness, "Redo");
    assert_ne!(lowest(&harness), "transom notch");
}

#[test]
fn a_thing_left_ashore_lightens_it_and_is_saved_so() {
    let (mut harness, saved) = harness();
    let before = harness.state().state.readings().mass_kg;
    click(&mut harness, "bow weight");
    let after = harness.state().state.readings().mass_kg;
    assert!((before - after - 22.0).abs() < 1e-9);
    click(&mut harness, "Save as a new boat");
    let text = saved.borrow()[0].clone();
    assert!(
        text.contains("name = \"bow weight\"\nremove = true"),
        "{text}"
    );
    assert_eq!(harness.state().state.message, "Saved");
    harness.state_mut().state.save_as = "taken.toml".into();
    click(&mut harness, "Save as a new boat");
    // What is there is replaced only after asking.
    assert_eq!(saved.borrow().len(), 1);
    click(&mut harness, "Replace it, keep the old one beside it");
    assert_eq!(saved.borrow().len(), 2);
    assert!(harness.state().state.asks.is_none());
}

#[test]
fn a_mass_typed_is_taken_and_is_one_step_to_undo() {
    let (mut harness, _) = harness();
    let shown = harness.get_by_value("27.0 kg");
    shown.click();
    harness.run_steps(3);
    harness.event(egui::Event::Text("31.5".into()));
    harness.key_press(egui::Key::Enter);
    harness.run_steps(3);
    let state = &harness.state().state;
    let items = &state.subject().file.items;
    let battery = items.iter().position(|i| i.name == "battery").unwrap();
    assert!((state.edits().items[battery].mass_kg - 31.5).abs() < 1e-9);
    assert_eq!(state.steps().0, 1);
}

#[test]
fn a_thing_dragged_over_many_frames_is_one_step_to_undo() {
    let (mut harness, _) = harness();
    harness.state_mut().state.in_hand = true;
    for step in 0..5_u8 {
        let at = awash::numerics::Vec3::new(1.0 + 0.1 * f64::from(step), 0.0, 0.1);
        let state = &mut harness.state_mut().state;
        state.change(|edits, _| edits.move_item(2, &at));
        harness.run_steps(1);
    }
    harness.state_mut().state.in_hand = false;
    harness.run_steps(1);
    assert_eq!(harness.state().state.steps(), (1, 0));
}

#[test]
fn views_help_and_section_answer() {
    let (mut harness, _) = harness();
    click(&mut harness, "side");
    assert_eq!(harness.state().asked, Some(View::Side));
    click(&mut harness, "Help");
    assert!(
        harness
            .query_by_label("let it float from where it is")
            .is_some()
    );
    click(&mut harness, "Section");
    // The header opens over some frames.
    harness.run_steps(30);
    click(&mut harness, "across, at x");
    let plane = harness.state().state.show.section.unwrap();
    assert!(plane.axis == 0 && plane.at_m > 1.0);
}

#[test]
fn the_swamping_is_worked_out_and_its_moments_shown() {
    let (mut harness, _) = harness();
    click(&mut harness, "Pushed under");
    harness.run_steps(30);
    click(&mut harness, "Push it under");
    assert!(harness.state().state.is_filming());
    harness.state_mut().state.finish();
    harness.run_steps(3);
    assert_eq!(harness.state().state.attitude(), Attitude::Film(0));
    let rail = harness
        .get_by_role_and_label(egui::accesskit::Role::Slider, "moment")
        .rect();
    harness.drag_at(rail.left_center() + egui::vec2(8.0, 0.0));
    harness.run_steps(2);
    harness.hover_at(rail.right_center());
    harness.run_steps(2);
    harness.drop_at(rail.right_center());
    harness.run_steps(2);
    let film = harness.state().state.film().unwrap();
    let last = film.time_line.len() - 1;
    assert_eq!(harness.state().state.attitude(), Attitude::Film(last));
    assert!(harness.state().state.waters_inside().len() == 1);
}

#[test]
fn a_load_condition_is_chosen_and_undone() {
    let (mut harness, _) = harness_of("bulkheads.toml");
    let dry = harness.state().state.readings().mass_kg;
    click(&mut harness, "rain");
    assert!(harness.state().state.awaits_condition());
    harness.state_mut().state.finish();
    harness.run_steps(3);
    // 10 L of water and 4 kg of wetter samples.
    let wet = harness.state().state.readings().mass_kg;
    assert!((wet - dry - 14.0).abs() < 1e-9, "{wet} {dry}");
    click(&mut harness, "Undo");
    harness.state_mut().state.finish();
    harness.run_steps(3);
    assert!((harness.state().state.readings().mass_kg - dry).abs() < 1e-9);
    click(&mut harness, "Redo");
    click(&mut harness, "as the file stands");
    harness.state_mut().state.finish();
    harness.run_steps(3);
    assert!((harness.state().state.readings().mass_kg - dry).abs() < 1e-9);
}

#[test]
fn how_the_boat_before_is_drawn_is_chosen() {
    let (mut harness, _) = harness();
    assert_eq!(harness.state().state.before(), Before::Over);
    for (label, how) in [
        ("side by side", Before::Beside),
        ("hidden", Before::Hidden),
        ("as a ghost", Before::Over),
    ] {
        click(&mut harness, label);
        assert_eq!(harness.state().state.before(), how);
    }
}

#[test]
fn how_it_is_pushed_under_is_chosen_and_each_space_is_told() {
    let (mut harness, _) = harness_of("bulkheads.toml");
    click(&mut harness, "Pushed under");
    harness.run_steps(30);
    click(&mut harness, "the least lean");
    assert_eq!(harness.state().state.knocked.start, Start::Tilt);
    click(&mut harness, "Push it under");
    harness.state_mut().state.finish();
    harness.run_steps(3);
    let film = harness.state().state.film().unwrap();
    assert_eq!(film.start, Start::Tilt);
    let told = harness.query_all_by_label_contains("after space: ");
    assert!(told.count() > 0, "water in each space");
    click(&mut harness, "nothing: as it stands");
    assert_eq!(harness.state().state.knocked.start, Start::Condition);
    assert!(harness.query_by_label("Start flooding").is_some());
}

#[test]
fn a_part_ticked_off_is_joined_anew_without_it() {
    let (mut harness, _) = harness();
    let before = harness.state().state.readings().mass_kg;
    harness
        .get_by_role_and_label(egui::accesskit::Role::CheckBox, "foredeck")
        .click();
    harness.run_steps(3);
    assert!(harness.state().state.edits().parts_off.contains("foredeck"));
    harness.state_mut().state.finish();
    harness.run_steps(2);
    let after = harness.state().state.readings().mass_kg;
    assert!(after < before - 1.0, "{before} {after}");
    assert_eq!(harness.state().state.hull_version(), 1);
}

#[test]
fn the_answer_stands_on_top_and_follows() {
    let (mut harness, _) = harness();
    let told = |harness: &Harness<'_, Shown>, text: &str| {
        harness.query_all_by_label_contains(text).next().is_some()
    };
    assert!(told(&harness, "the lowest way in is transom notch"));
    harness.state_mut().state.finish();
    harness.run_steps(3);
    let has_lean = told(&harness, "A lean of");
    assert!(has_lean || told(&harness, "A knock of"));
    let state = &mut harness.state_mut().state;
    state.change(|edits, subject| edits.cover(subject, "transom notch", true));
    harness.run_steps(3);
    assert!(!told(&harness, "the lowest way in is transom notch"));
    // The boat before that was given has a cockpit alone.
    click(&mut harness, "As it was (B)");
    assert!(told(&harness, "As it was: "));
    assert!(told(&harness, "the lowest way in is cockpit"));
}

/// A hole is cut by a click, typed larger, covered and taken out by the panel alone.
#[test]
fn a_hole_is_cut_sized_and_taken_out() {
    let (mut harness, saved) = harness();
    click(&mut harness, "round hole");
    let ray = Ray {
        from_m: Vec3::new(1.2, -5.0, 0.2),
        along: Vec3::y(),
    };
    harness.state_mut().state.click(&ray, None);
    harness.state_mut().state.finish();
    harness.run_steps(3);
    assert_eq!(harness.state().state.tool, Tool::Look);
    let figure = harness.state().state.chosen_made().unwrap().figures[0];
    let shown = format!("{:.0} mm", 1000.0 * figure);
    harness.get_by_value(&shown).click();
    harness.run_steps(3);
    harness.event(egui::Event::Text("90".into()));
    harness.key_press(egui::Key::Enter);
    harness.run_steps(3);
    assert!((harness.state().state.chosen_made().unwrap().figures[0] - 0.09).abs() < 1e-12);
    harness.state_mut().state.finish();
    click(&mut harness, "covered");
    click(&mut harness, "Save as a new boat");
    let text = saved.borrow()[0].clone();
    assert!(
        text.contains("diameter = 0.09") && text.contains("state = \"covered\""),
        "{text}"
    );
    assert!(!harness.state().state.is_unsaved());
    click(&mut harness, "Take it out");
    assert!(harness.state().state.edits().made.is_empty());
    assert!(
        harness
            .query_by_label("Undo would take back: take out round hole")
            .is_some()
    );
}

#[test]
fn random_clicks_and_keys_do_no_harm() {
    let (mut harness, _) = harness();
    let mut random = fastrand::Rng::with_seed(7);
    let seconds: Option<u64> = std::env::var("AWASH_RANDOM_SECONDS")
        .ok()
        .and_then(|text| text.parse().ok());
    let start = std::time::Instant::now();
    let mut steps = 0_usize;
    loop {
        let goes_on = seconds.map_or(steps < 120, |s| start.elapsed().as_secs() < s);
        if !goes_on {
            break;
        }
        steps += 1;
        let at = egui::pos2(random.f32() * 350.0, random.f32() * 1500.0);
        match random.u8(0..8) {
            0..=3 => {
                harness.drag_at(at);
                harness.run_steps(1);
                let to = at + egui::vec2(random.f32() * 120.0 - 60.0, random.f32() * 20.0 - 10.0);
                harness.hover_at(to);
                harness.run_steps(1);
                harness.drop_at(to);
            }
            4 | 5 => {
                harness.drag_at(at);
                harness.drop_at(at);
            }
            6 => {
                let typed = ["-", "9e99", "12.5", "x", "0", "."][random.usize(0..6)];
                harness.event(egui::Event::Text(typed.into()));
            }
            _ => {
                let key = [
                    egui::Key::Enter,
                    egui::Key::Tab,
                    egui::Key::Escape,
                    egui::Key::ArrowRight,
                ][random.usize(0..4)];
                harness.key_press(key);
            }
        }
        harness.run_steps(1);
        harness.state_mut().state.poll();
        let readings = harness.state().state.readings();
        assert!(readings.mass_kg.is_finite() && readings.plane.level_m.is_finite());
        assert!(harness.state().state.steps().0 <= 200);
    }
}

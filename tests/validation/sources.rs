//! Where the expected values come from, in a few words; the whole stands beside
//! each check. What begins with [`INTERNAL`] checks the code against itself and stands
//! under a heading of its own.

/// The beginning of a source that is none: the code checked against itself.
pub(crate) const INTERNAL: &str = "internal consistency";

/// By the beginning of `test quantity`, the longest that fits: of a test, or of single
/// quantities of it.
const SOURCES: &[(&str, &str)] = &[
    (
        "bar::",
        "closed form: floating square bar, the problem of Reid 1963, Gilbert 1991",
    ),
    ("calibrate::", "closed form: box, statics of scales"),
    (
        "calibrate::an_inclining_exercise",
        "figures of an exercise, from memory; method: Derrett & Barrass, ch. 26",
    ),
    ("comparison::", "closed form: box"),
    ("compartments::", "closed form: box"),
    (
        "compartments::a_box_flooded_amidships",
        "Derrett & Barrass, ch. 21 Bilging and permeability",
    ),
    (
        "compartments::water_is_conserved",
        "internal consistency: volume is conserved",
    ),
    (
        "compartments::water_followed_in",
        "internal consistency: `swamp` ends where `flooded` does",
    ),
    ("compartments::slack_tanks", "closed form: free surface"),
    (
        "compartments::slack_tanks_cost_the_metacentric_height_of_the_examination GM lost",
        "US Coast Guard licence examinations, stability question 0449",
    ),
    (
        "compartments::a_tank_in_the_boat_file",
        "closed form: free surface",
    ),
    (
        "compartments::the_water_and_the_rims",
        "closed form: box; normal distribution (Python's statistics.NormalDist)",
    ),
    (
        "compartments::righting_arms_with_liquid",
        "internal consistency: the arm is the slope of the energy",
    ),
    (
        "compartments::a_tank_fills_through",
        "closed form; dock filling, UFC 4-213-10 (2002), p. 6-6 eq. 5",
    ),
    ("cuboid::", "closed form: wall-sided box"),
    ("cuboid::it_sinks_until", "Archimedes; closed form: box"),
    (
        "cuboid::float_says_that_the_lolling_box_is_unstable_upright GM at loll",
        "closed form; Tupper, Introduction to Naval Architecture, lolled condition",
    ),
    (
        "cutouts::",
        "elementary geometry: circle, ellipse, rectangle, box",
    ),
    (
        "cutouts::an_opening_changes_no_dry_volume_and_a_recess_does capacity",
        "internal consistency: the box without the hole",
    ),
    (
        "cutouts::a_round_hole_through_a_round_hull",
        "elementary geometry: saddle curve of two cylinders",
    ),
    (
        "cutouts::a_cutter_mesh",
        "elementary geometry: saddle curve of two cylinders",
    ),
    ("dive::", "closed form: sums of weights and volumes"),
    (
        "dive::the_gap_is_judged",
        "internal consistency: the result's own CB, CG and air",
    ),
    (
        "dive::a_cylinder_in_its_steady_place",
        "internal consistency: the place that the study itself names",
    ),
    ("dive::soft_gas", "Boyle's law, closed form"),
    (
        "dive::a_suit_of_foam",
        "Boyle's law, 33 ft an atmosphere: common practice, no source",
    ),
    ("dive::an_aluminium_cylinder", "maker's table, from memory"),
    (
        "dive::an_aluminium_cylinder_of_80_cubic_feet_swings_by_its_air air used",
        "internal consistency: the swing of the weight",
    ),
    (
        "dive::materials_keep",
        "US Coast Guard, Boatbuilder's Handbook, Flotation; steel, lead and woods from memory",
    ),
    (
        "dive::a_cubic_foot_of_foam",
        "US Coast Guard, Boatbuilder's Handbook, Flotation, step 1",
    ),
    (
        "dive::pressure_with_depth",
        "TEOS-10 (gsw 3.6.23, p_from_z)",
    ),
    ("dive::a_soft_bag", "Archimedes, Boyle's law"),
    ("dive::the_way_down", "closed form: box of thin skin"),
    ("dry_spaces::", "closed form: Archimedes, box; Boyle's law"),
    (
        "dry_spaces::the_way_down_does_not_hang",
        "internal consistency: the hull moved and mirrored",
    ),
    (
        "dry_spaces::the_way_down_is_of_the_depth_and_the_cylinder_asked_for air used",
        "internal consistency: the air listed",
    ),
    (
        "dry_spaces::half_a_kilogram_of_lift",
        "internal consistency: a default of our own",
    ),
    (
        "duisburg::",
        "Duisburg Test Case, el Moctar, Shigunov & Zorn, Ship Technology Research 59(3), 2012",
    ),
    (
        "duisburg::the_published_hull_has_its_published_figures LCB",
        "centre of mass in openfoam-examples 1912.200626-1, case DTCHull",
    ),
    (
        "duisburg::a_clipper_written_apart",
        "internal consistency: a clipper of our own written apart",
    ),
    ("flooding::", "closed form: orifice flow into a box"),
    (
        "flooding::halving_the_step",
        "internal consistency: half the step",
    ),
    (
        "flooding::loose_water_keeps",
        "internal consistency: volume is conserved",
    ),
    (
        "flooding::a_full_space_passes",
        "closed form: orifices in series",
    ),
    (
        "flooding::two_spaces_fill",
        "internal consistency: the same flow followed apart, by Runge and Kutta",
    ),
    (
        "flooding::water_that_creeps",
        "internal consistency: statics of our own, written apart in Python",
    ),
    ("flooding::a_long_hold", "internal consistency: held longer"),
    (
        "flooding::loose_water_takes",
        "free surface, Derrett & Barrass, ch. 20",
    ),
    ("foam::", "closed form: box"),
    (
        "foam::a_cubic_foot_of_foam",
        "US Coast Guard, Boatbuilder's Handbook, Flotation, step 1",
    ),
    ("foam::people_in_the_water", "33 CFR 183.105(a)(1)"),
    ("foam::the_two_largest", "33 CFR 183.105(a)(3)"),
    ("foam::chambers_that_share", "33 CFR 183.112(b)"),
    (
        "foam_built_in::",
        "internal consistency: the boat with the foam in it",
    ),
    (
        "foam_built_in::full_to_the_rim",
        "internal consistency: water poured in",
    ),
    (
        "foam_built_in::without_a_low_hole",
        "closed form: box, weight of the water kept in",
    ),
    (
        "handbook::",
        "worked example, Derrett & Barrass; page not looked up",
    ),
    (
        "handbook::metacentric_diagram",
        "worked example, Derrett & Barrass 1999, ch. 12, p. 111",
    ),
    (
        "handbook::wall_sided_arm",
        "worked example, Derrett & Barrass 1999, ch. 14, p. 130",
    ),
    (
        "handbook::wall_sided_arm_of_a_ship closed form",
        "closed form: wall-sided box",
    ),
    (
        "handbook::waterplane_from",
        "worked example, Derrett & Barrass 1999, ch. 29, p. 262",
    ),
    (
        "inflow::",
        "weirs and orifices: ISO 1438; ISO 13550; Unwin, Hydraulics (Britannica 1911)",
    ),
    (
        "inflow::a_drowned_crest",
        "drowned weirs: du Buat, from memory; Villemonte 1947",
    ),
    (
        "inflow::a_level_opening",
        "weir and orifice; FHWA HEC-22, grate inlets in sag",
    ),
    (
        "inflow::the_flow_has_no_jump",
        "internal consistency: own bound",
    ),
    ("limits::", "closed form: sign of GM"),
    (
        "limits::a_paraboloid_apex_down",
        "Archimedes, On Floating Bodies II; Heath, History of Greek Mathematics II",
    ),
    (
        "limits::a_tilted_paraboloid",
        "closed form: paraboloid, the problem of Archimedes, On Floating Bodies II",
    ),
    ("open_sea::", "closed form: box, Boyle's law"),
    (
        "open_sea::air_shut_in_by",
        "internal consistency: `float` with that water in the file",
    ),
    (
        "open_sea::swamp_judges_by_the_worse_of_air_lost_and_air_kept lacks",
        "internal consistency: `flooded` lacks the same",
    ),
    ("people::", "closed form: box, sums of weights"),
    (
        "people::persons_are",
        "33 CFR 183.105(a)(1), with 75 kg a person",
    ),
    (
        "people::someone_without_volume",
        "internal consistency: our own reckoning of a body, ± 3 %",
    ),
    (
        "people::someone_without_volume_weighs_nothing_under_water_give_or_take by volume",
        "Archimedes",
    ),
    (
        "people::a_head",
        "closed form: box; seated head after AMRL-TDR-63-36, from memory; mouth ours",
    ),
    ("outside::", "closed form: box, Archimedes"),
    (
        "outside::an_item_outside_floats_as_a_part",
        "internal consistency: an item against a part of the same box",
    ),
    (
        "outside::outriggers_stiffen",
        "internal consistency: an item against a part of the same box",
    ),
    (
        "outside::whoever_goes_overboard",
        "internal consistency: the boat without the person",
    ),
    (
        "outside::a_thing_moved_out",
        "internal consistency: the boat file with the item there",
    ),
    ("places::", "closed form: box"),
    (
        "places::a_round_part",
        "elementary geometry: volume of a cylinder",
    ),
    (
        "places::what_the_weight_costs",
        "internal consistency: the wall's mass as an item",
    ),
    (
        "places::a_wall_as_proposed",
        "internal consistency: the same wall as a part",
    ),
    (
        "reference_library::",
        "parry3d-f64 0.31.1, a geometry library",
    ),
    ("remedies::", "closed form: box"),
    (
        "remedies::edge_load_examples",
        "US Coast Guard, Boatbuilder's Handbook, Safe loading, on 33 CFR 183.41",
    ),
    (
        "remedies::bands_of_an_uncertain",
        "closed form: box; normal distribution (Python's statistics.NormalDist)",
    ),
    (
        "remedies::bands_of_an_uncertain_scan_and_of_the_knock knock",
        "internal consistency: the band of the sill",
    ),
    ("rests::", "closed form: square bar, wall-sided box"),
    (
        "round::",
        "elementary geometry: segments of circle and sphere, ellipsoid",
    ),
    ("sections::", "elementary geometry: sections of a solid"),
    (
        "sections::sections_of_a_wigley_hull",
        "closed form: integral of a parabola",
    ),
    ("sections::sections_agree_with_trimesh", "trimesh 5.2.0"),
    (
        "sections::section_areas_add_up",
        "internal consistency: section areas add up to the volume",
    ),
    (
        "spread::",
        "closed form: wall-sided box; normal distribution (Python's statistics.NormalDist)",
    ),
    ("stability::", "closed form: wall-sided box"),
    (
        "stability::the_righting_arm_is_the_slope",
        "internal consistency: the arm is the slope of the energy",
    ),
    (
        "stability::the_righting_study_of_the_box_has_the_wall_sided_arms work to vanishing",
        "internal consistency: the barrier between two rests",
    ),
    (
        "stability::a_symmetric_craft",
        "internal consistency: port mirrors starboard",
    ),
    ("tape::", "closed form: box, wedge, cylinder"),
    ("trapped::", "closed form: box, step, dome"),
    (
        "trapped::a_hull_moved_or_mirrored",
        "internal consistency: the hull moved and mirrored",
    ),
    ("wedge::", "elementary geometry: wedge"),
    ("wigley::", "closed form: integrals of Wigley's hull"),
];

/// The source of what a test compares a quantity with.
pub(crate) fn source_of(test: &str, quantity: &str) -> &'static str {
    let row = format!("{test} {quantity}");
    SOURCES
        .iter()
        .filter(|(beginning, _)| row.starts_with(beginning))
        .max_by_key(|(beginning, _)| beginning.len())
        .map(|(_, source)| *source)
        .unwrap_or_else(|| panic!("tests/validation/sources.rs has no source for {test}"))
}

//! Where the expected values come from, in a few words; the whole stands beside
//! each check. What begins with [`INTERNAL`] checks the code against itself and stands
//! under a heading of its own.

/// The beginning of a source that is none: the code checked against itself.
pub(crate) const INTERNAL: &str = "internal consistency";

/// By the beginning of a test's name, the longest that fits.
const SOURCES: &[(&str, &str)] = &[
    (
        "bar::",
        "closed form: floating square bar, the problem of Reid 1963, Gilbert 1991",
    ),
    ("calibrate::", "closed form: box, statics of scales"),
    (
        "calibrate::an_inclining_exercise",
        "figures of an exercise, from memory; Derrett & Barrass, The inclining test",
    ),
    ("comparison::", "closed form: box"),
    ("compartments::", "closed form: box"),
    (
        "compartments::a_box_flooded_amidships",
        "Derrett & Barrass, bilging",
    ),
    (
        "compartments::water_is_conserved",
        "internal consistency: volume is conserved",
    ),
    (
        "compartments::water_followed_in",
        "internal consistency: `swamp` ends where `flooded` does",
    ),
    (
        "compartments::slack_tanks",
        "US Coast Guard licence examinations, stability question 0449; closed form",
    ),
    (
        "compartments::a_tank_in_the_boat_file",
        "closed form: free surface",
    ),
    (
        "compartments::the_water_and_the_rims",
        "closed form: box; tables of the normal distribution",
    ),
    (
        "compartments::righting_arms_with_liquid",
        "internal consistency: the arm is the slope of the energy",
    ),
    (
        "compartments::a_tank_fills_through",
        "dock filling, UFC 4-213-10 eq. 5",
    ),
    ("cuboid::", "closed form: wall-sided box"),
    ("cuboid::it_sinks_until", "Archimedes; closed form: box"),
    (
        "cuboid::float_says",
        "closed form: wall-sided box; GM at loll, Derrett & Barrass",
    ),
    ("cutouts::", "closed form: circle, ellipse, rectangle"),
    (
        "cutouts::a_round_hole_through_a_round_hull",
        "closed form: saddle curve of two cylinders",
    ),
    (
        "cutouts::a_cutter_mesh",
        "closed form: saddle curve of two cylinders",
    ),
    ("dive::", "closed form: sums of weights and volumes"),
    (
        "dive::the_gap_is_judged",
        "internal consistency: the result's own CB, CG and air",
    ),
    ("dive::soft_gas", "Boyle's law"),
    (
        "dive::a_suit_of_foam",
        "Boyle's law, 33 ft an atmosphere: common practice, no source",
    ),
    ("dive::an_aluminium_cylinder", "maker's table, from memory"),
    (
        "dive::materials_keep",
        "US Coast Guard, Boatbuilder's Handbook; wood and lead from memory",
    ),
    (
        "dive::a_cubic_foot_of_foam",
        "US Coast Guard, Boatbuilder's Handbook",
    ),
    (
        "dive::pressure_with_depth",
        "TEOS-10 (gsw 3.6.23, p_from_z)",
    ),
    ("dive::a_soft_bag", "Archimedes, Boyle's law"),
    (
        "dive::the_way_down",
        "closed form: box, GM after Derrett & Barrass",
    ),
    ("dry_spaces::", "closed form: Archimedes, box; Boyle's law"),
    (
        "dry_spaces::the_way_down_does_not_hang",
        "internal consistency",
    ),
    (
        "duisburg::",
        "Duisburg Test Case, el Moctar, Shigunov & Zorn, Ship Technology Research 59(3), 2012",
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
        "a differential equation of its own (Runge and Kutta)",
    ),
    (
        "flooding::water_that_creeps",
        "internal consistency: statics of our own, written apart in Python",
    ),
    ("flooding::a_long_hold", "internal consistency: held longer"),
    (
        "flooding::loose_water_takes",
        "free surface, Derrett & Barrass",
    ),
    ("foam::", "closed form: box"),
    (
        "foam::a_cubic_foot_of_foam",
        "US Coast Guard, Boatbuilder's Handbook",
    ),
    ("foam::people_in_the_water", "33 CFR 183.105"),
    ("foam::the_two_largest", "33 CFR 183.105"),
    ("foam::chambers_that_share", "33 CFR 183.112(b)"),
    (
        "foam_built_in::",
        "internal consistency: the boat with the foam in it",
    ),
    (
        "foam_built_in::without_a_low_hole",
        "closed form: box, weight of the water kept in",
    ),
    ("handbook::", "worked example, Derrett & Barrass"),
    (
        "inflow::",
        "thin-plate weirs, ISO 1438; orifices, ISO 13550",
    ),
    (
        "inflow::a_drowned_crest",
        "drowned weirs: du Buat; Villemonte 1947",
    ),
    (
        "inflow::a_level_opening",
        "FHWA HEC-22, grate inlets in sag",
    ),
    ("inflow::the_flow_has_no_jump", "own bound"),
    ("limits::", "closed form: sign of GM"),
    (
        "limits::a_paraboloid_apex_down",
        "Archimedes, On Floating Bodies II",
    ),
    (
        "limits::a_tilted_paraboloid",
        "Archimedes, On Floating Bodies II",
    ),
    ("open_sea::", "closed form: box, Boyle's law"),
    ("people::", "closed form: box"),
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
    ("places::", "closed form: box, circle"),
    (
        "places::a_wall_as_proposed",
        "internal consistency: the same wall as a part",
    ),
    ("reference_library::", "parry3d, a geometry library"),
    ("remedies::", "closed form: box"),
    (
        "remedies::edge_load_examples",
        "33 CFR 183.41, US Coast Guard examples",
    ),
    (
        "remedies::bands_of_an_uncertain",
        "closed form: box; tables of the normal distribution",
    ),
    ("rests::", "closed form: square bar, wall-sided box"),
    ("round::", "closed form: circle, sphere, ellipsoid"),
    ("sections::", "closed form: section of a solid"),
    (
        "sections::sections_of_a_wigley_hull",
        "closed form: Wigley's hull",
    ),
    ("sections::sections_agree_with_trimesh", "trimesh 5.2.0"),
    (
        "sections::section_areas_add_up",
        "internal consistency: section areas add up to the volume",
    ),
    (
        "spread::",
        "closed form: wall-sided box; tables of the normal distribution",
    ),
    ("stability::", "closed form: wall-sided box"),
    (
        "stability::the_righting_arm_is_the_slope",
        "internal consistency: the arm is the slope of the energy",
    ),
    (
        "stability::a_symmetric_craft",
        "internal consistency: port mirrors starboard",
    ),
    ("tape::", "closed form: box, wedge, cylinder"),
    ("trapped::", "closed form: box, step, dome"),
    ("trapped::a_hull_moved_or_mirrored", "internal consistency"),
    ("wedge::", "closed form: wedge"),
    ("wigley::", "closed form: Wigley's hull, 1934"),
];

/// The source of what a test compares with.
pub(crate) fn source_of(test: &str) -> &'static str {
    SOURCES
        .iter()
        .filter(|(beginning, _)| test.starts_with(beginning))
        .max_by_key(|(beginning, _)| beginning.len())
        .map(|(_, source)| *source)
        .unwrap_or_else(|| panic!("tests/validation/sources.rs has no source for {test}"))
}

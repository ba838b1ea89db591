//! Where the expected values come from, in a few words; the whole stands beside
//! each check. "Own bound" is the project's and no outside value.

/// By the beginning of a test's name, the longest that fits.
const SOURCES: &[(&str, &str)] = &[
    ("bar::", "floating square bar, Reid 1963, Gilbert 1991"),
    ("calibrate::", "closed form: box, statics of scales"),
    (
        "calibrate::the_handbook_inclining",
        "exercise in the manner of Derrett & Barrass",
    ),
    ("comparison::", "closed form: wall-sided box"),
    ("comparison::", "closed form: box"),
    ("compartments::", "closed form: box"),
    (
        "compartments::a_box_flooded_amidships",
        "Derrett & Barrass, bilging",
    ),
    (
        "compartments::water_is_conserved",
        "conservation of volume; bound our own",
    ),
    (
        "compartments::water_followed_in",
        "lost buoyancy and added mass are one (closed form)",
    ),
    (
        "compartments::slack_tanks",
        "published worked example, title not kept",
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
        "definition of work",
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
    ("dive::soft_gas", "Boyle's law"),
    ("dive::a_suit_of_foam", "dive tables (33 ft an atmosphere)"),
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
    (
        "duisburg::",
        "Duisburg Test Case, el Moctar, Shigunov & Zorn 2012",
    ),
    ("flooding::", "closed form: orifice flow into a box"),
    ("flooding::halving_the_step", "own bound"),
    (
        "flooding::a_full_space_passes",
        "closed form: orifices in series",
    ),
    (
        "flooding::two_spaces_fill",
        "a differential equation of its own (Runge and Kutta)",
    ),
    ("flooding::a_long_hold", "own bound"),
    ("flooding::loose_water_keeps", "conservation of volume"),
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
    ("reference_library::", "parry3d, a geometry library"),
    ("remedies::", "closed form: box"),
    (
        "remedies::edge_load_examples",
        "33 CFR 183.41 and 183.43, US Coast Guard examples",
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
        "Simpson's rule: areas add up to the volume",
    ),
    ("stability::", "closed form: wall-sided box"),
    (
        "stability::the_righting_arm_is_the_slope",
        "definition of work",
    ),
    ("stability::a_symmetric_craft", "symmetry"),
    ("tape::", "closed form: box, wedge, arc"),
    ("tape::", "closed form: box, wedge, cylinder"),
    ("trapped::", "closed form: box, step, dome"),
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

//! What parts made from the hull are cut from: sheets of foam, patterns. On the box they are
//! held to closed forms, derived beside them.
use awash::boat::{Boat, SheetLies};
use awash::present::{compare_svg, lines_svg};
use awash::quantity::UnitSystem;
use awash::study::{
    ListKind, OutBy, Planes, SectionOptions, TemplateResult, compare, list, section, template,
    template_of_opening, template_of_part,
};

use crate::built::{BOX, arch_m, made, near, open_box};
use crate::support::box_from_stern;
use crate::zoo::open_tender;

/// Derived in closed form: each sheet is as long and broad as the box, the last as thick as
/// what is left; the battery leaves its hole in those that it stands in.
#[test]
fn foam_in_sheets_is_cut_level_from_the_bottom_up() {
    let [_, b, _] = BOX;
    let battery = [0.3, 0.2, 0.2];
    let file = "[[part]]\nname = \"foam\"\nfoam = { density = 32 }\nfilling = { aft = 0, forward = 0.6, below = 0.23, sheet = \"50 mm\" }\n[[item]]\nname = \"battery\"\nmass = 20\nat = [0.3, 0.1, 0.1]\nsize = [0.3, 0.2, 0.2]\n";
    let boat = open_box().boat_with(file);
    let list = list(&boat, ListKind::Foam).expect("it floats");
    let heights = [0.0, 0.05, 0.1, 0.15, 0.2, 0.23];
    assert_eq!(list.sheets.len(), 5);
    for (sheet, ends) in list.sheets.iter().zip(heights.windows(2)) {
        near(sheet.from_m + 1.0, ends[0] + 1.0, "from");
        near(sheet.to_m, ends[1], "to");
        near(sheet.length_m, 0.6, "long");
        near(sheet.width_m, b, "wide");
        let hole = if ends[0] < battery[2] { 0.3 * 0.2 } else { 0.0 };
        let area = 0.6 * b - hole;
        near(sheet.area_m2, area, "area");
        near(sheet.volume_m3, area * (ends[1] - ends[0]), "volume");
        near(sheet.mass_kg, 32.0 * sheet.volume_m3, "mass");
        assert_eq!((sheet.pieces, sheet.of), (1, 5));
        let drawn = template_of_part(&boat, "foam", Some(sheet.number));
        let drawn = drawn.expect("there is one");
        near(drawn.cut.area_m2, area, "drawn");
        assert_eq!(drawn.cut.curves_m.len(), if hole > 0.0 { 2 } else { 1 });
    }
    for (part, sheet, says) in [
        ("foam", None, "5 sheets"),
        ("foam", Some(6), "5 sheets"),
        ("foam", Some(0), "5 sheets"),
        ("fom", None, "no part \"fom\""),
    ] {
        let told = template_of_part(&boat, part, sheet).expect_err("none");
        assert!(told.to_string().contains(says), "{told}");
    }
}

/// Volume, length and width of what of the tender lies between x 0.3 and 1.0 in slices of
/// 50 mm from its lowest point there up to z 0.35: the tender's mesh, its top closed, and boxes
/// in the boolean of manifold3d 3.5.4 (Python).
const TENDER_SHEETS: [[f64; 3]; 7] = [
    [0.01409772007374765, 0.7, 0.5939695819276264],
    [0.02399109684963163, 0.7, 0.7741056143971913],
    [0.02898244647449979, 0.7, 0.8873106592886097],
    [0.03246661019295814, 0.7, 0.9681648627607775],
    [0.03499883485717936, 0.7, 1.0347824042950555],
    [0.03680891149359452, 0.7, 1.0782898545748927],
    [0.0075287797263990965, 0.7, 1.0869727365724269],
];

/// Against manifold3d, see [`TENDER_SHEETS`].
#[test]
fn foam_in_a_tender_is_cut_as_a_boolean_library_cuts_it() {
    let file = "[[part]]\nname = \"foam\"\nfoam = { density = 32 }\nfilling = { aft = 0.3, forward = 1.0, below = 0.35, sheet = \"50 mm\" }\n";
    let boat = open_tender().boat_with(file);
    let list = list(&boat, ListKind::Foam).expect("it floats");
    assert_eq!(list.sheets.len(), TENDER_SHEETS.len());
    for (sheet, [volume, long, wide]) in list.sheets.iter().zip(TENDER_SHEETS) {
        near(sheet.volume_m3, volume, "volume");
        near(sheet.length_m, long, "long");
        near(sheet.width_m, wide, "wide");
    }
}

/// Breadth and height of a template, m.
fn size(drawn: &TemplateResult) -> [f64; 2] {
    let [low, high] = drawn.box_m;
    [0, 1].map(|k| high[k] - low[k])
}

fn sheet_of(boat: &Boat, number: usize) -> TemplateResult {
    let drawn = template_of_part(boat, "it", Some(number));
    drawn.expect("it is made of sheets").result
}

/// Derived in closed form: a cambered deck unrolls to its length times its arch's, the
/// bulkhead where it stops is breadth times depth and two thirds of breadth times camber.
#[test]
fn a_deck_and_its_bulkhead_are_laid_flat() {
    let [l, b, d] = BOX;
    for camber in [0.0, 0.06] {
        let deck =
            format!("deck = {{ over = \"top\", aft = 1.2, camber = {camber}, bulkhead = true }}");
        let (boat, _) = made(&open_box(), &deck);
        let drawn = sheet_of(&boat, 1);
        near(drawn.cut.area_m2, arch_m(camber) * (l - 1.2), &deck);
        let [long, broad] = size(&drawn);
        near(long, l - 1.2, "long");
        near(broad, arch_m(camber), "broad");
        assert_eq!(drawn.out_by, None);
        let last = if camber > 0.0 { 3 } else { 2 };
        if camber > 0.0 {
            near(
                sheet_of(&boat, 2).cut.area_m2,
                2.0 / 3.0 * b * camber,
                "end",
            );
        }
        let bulkhead = sheet_of(&boat, last);
        near(
            bulkhead.cut.area_m2,
            b * d + 2.0 / 3.0 * b * camber,
            "bulkhead",
        );
        assert!(template_of_part(&boat, "it", Some(last + 1)).is_err());
        // A plain template at the deck's own end draws it as well.
        let station = template(&boat, 0, 1.2, None).expect("there is one");
        near(
            station.cut.area_m2,
            b * d + 2.0 / 3.0 * b * camber,
            "station",
        );
    }
    let transom = template(&open_box().boat(), 0, 0.0, None).expect("at its very end");
    near(transom.cut.area_m2, b * d, "transom");
}

/// Derived in closed form: a coaming unrolls to its girth times its height; leaning out, to
/// four trapezia beside each other.
#[test]
fn a_coaming_is_laid_flat_from_its_seam_round_to_it() {
    let [l, b, _] = BOX;
    for flare in [0.0_f64, 25.0] {
        let out = 0.15 * flare.to_radians().tan();
        let wall =
            format!("role = \"add\"\nwall = {{ round = \"top\", height = 0.15, flare = {flare} }}");
        let (boat, _) = made(&open_box(), &wall);
        let drawn = sheet_of(&boat, 1);
        let slant = 0.15_f64.hypot(out);
        near(drawn.cut.area_m2, 2.0 * (l + b + 2.0 * out) * slant, &wall);
        assert_eq!((drawn.out_by, drawn.cut.curves_m.len()), (None, 1));
        if flare == 0.0 {
            let [long, high] = size(&drawn);
            near(long, 2.0 * (l + b), "long");
            near(high, 0.15, "high");
        }
    }
}

/// Derived in closed form: a panel of length l turned up leaves two triangles of half
/// `l² sin` and a strip `2 l sin(½ angle)` high between them; 256 chords of a hatch go round
/// `128 sin(2π/256)` of its radius' square.
#[test]
fn lifted_panels_pockets_and_hatches_are_laid_flat() {
    let (long, broad) = (0.6, 0.4);
    let panel = "lifted = { centre = [1.0, 0.05, 0.4], length = 0.6, height = 0.4, hinge = \"aft\", angle = 20 }\n[[opening]]\nname = \"hatch\"\ncircle = { centre = [0.4, 0.0, 0.4], diameter = 0.3 }";
    let (boat, _) = made(&box_from_stern(), panel);
    let angle = 20.0_f64.to_radians();
    let gaps = long * long * angle.sin() + broad * 2.0 * long * (angle / 2.0).sin();
    near(sheet_of(&boat, 1).cut.area_m2, gaps, "gaps");
    near(sheet_of(&boat, 2).cut.area_m2, long * broad, "panel");
    let hatch = template_of_opening(&boat, "hatch").expect("a hatch");
    let area = 128.0 * (std::f64::consts::TAU / 256.0).sin() * 0.15 * 0.15;
    near(hatch.cut.area_m2, area, "hatch");
    let [wide, high] = size(&hatch);
    near(wide, 0.3, "wide");
    near(high, 0.3, "high");
    assert!(template_of_opening(&boat, "door").is_err());
    let pocket = "pocket = { centre = [1.2, -0.4, 0.2], length = 0.5, height = 0.2, depth = 0.08 }";
    let (boat, _) = made(&open_box(), pocket);
    near(sheet_of(&boat, 1).cut.area_m2, 0.5 * 0.2, "floor");
    near(
        sheet_of(&boat, 2).cut.area_m2,
        2.0 * (0.5 + 0.2) * 0.08,
        "sides",
    );
    let told = template_of_part(&boat, "it", None)
        .expect_err("which?")
        .to_string();
    assert!(told.contains("2 sheets (floor, sides)"), "{told}");
    let sponson = "sponson = { aft = 0.3, forward = 1.7, middle = 0.2, width = 0.1 }";
    let (boat, _) = made(&open_box(), sponson);
    let told = template_of_part(&boat, "it", None)
        .expect_err("no sheet")
        .to_string();
    assert!(told.contains("made of no sheet"), "{told}");
}

/// A foredeck on a tender bends both ways: laid flat it keeps its area within what it says of
/// its lengths, twice. Internal consistency.
#[test]
fn a_deck_that_bends_both_ways_says_so() {
    let deck = "deck = { over = \"gunwale\", aft = 2.2, camber = 0.08 }";
    let (boat, it) = made(&open_tender(), deck);
    let sheet = it.sheets.first().expect("the deck");
    let SheetLies::Facing(surface) = &sheet.lies else {
        panic!("a deck lies level");
    };
    let drawn = sheet_of(&boat, 1);
    let Some(OutBy::Stretched(share)) = drawn.out_by else {
        panic!("{:?}", drawn.out_by);
    };
    let off = (drawn.cut.area_m2 / surface.area_m2() - 1.0).abs();
    assert!(share < 0.03 && off <= 2.0 * share, "{share} {off}");
}

/// Bulkheads and foam show in the drawings, as dashed outlines, and are named; without them
/// nothing is. Internal consistency.
#[test]
fn bulkheads_and_foam_are_drawn() {
    let parts = "[[part]]\nname = \"wall\"\nbulkhead = { station = 1.2 }\n[[part]]\nname = \"block\"\nfoam = { density = 30 }\nfilling = { aft = 0.1, forward = 0.6, below = 0.3 }\n";
    let (bare, with) = (open_tender().boat(), open_tender().boat_with(parts));
    let lines = |boat: &Boat| {
        let options = SectionOptions {
            stations: Planes::At(vec![0.3, 1.0]),
            ..SectionOptions::default()
        };
        let cut = section(boat, &options).expect("cut");
        lines_svg(&cut, UnitSystem::Metric)
    };
    let dashes = |svg: &str| svg.matches("stroke-dasharray").count();
    // From the side and from above each a wall and a block; of the block's one station half.
    assert_eq!(dashes(&lines(&with)), dashes(&lines(&bare)) + 5);
    assert!(lines(&with).contains("dashed: bulkheads, foam, pockets, sponsons"));
    assert!(!lines(&bare).contains("foam inside"));
    let pair = compare([&bare, &with], None).expect("they float");
    let svg = compare_svg(&pair, UnitSystem::Metric);
    assert!(svg.contains("dashed green: bulkheads, foam, pockets, sponsons"));
    // At rest from starboard and from astern; swamped too where it floats so.
    assert!(dashes(&svg) >= 4, "{}", dashes(&svg));
}

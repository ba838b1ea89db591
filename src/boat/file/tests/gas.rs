//! Cylinders, soft gas, stiff foam and material densities.
use super::*;
use crate::boat::file::{AirCylinder, Gives};
use crate::quantity::Quantity;

fn item_text(rest: &str) -> String {
    format!(
        "[hull]\nmesh = \"h.stl\"\n[[item]]\nname = \"thing\"\nmass = 3\nat = [0, 0, 0]\n{rest}\n"
    )
}

fn item(rest: &str) -> Item {
    good(&item_text(rest)).items.remove(0)
}

fn near(got: &Quantity, want: f64) {
    assert!((got.value - want).abs() <= 1e-9 * want, "{got:?} {want}");
}

#[test]
fn a_cylinder_has_a_reserve_of_50_bar_unless_it_is_given() {
    let AirCylinder {
        water_volume,
        pressure,
        reserve,
    } = item("cylinder = { water_volume = \"11.1 L\", pressure = \"3000 psi\" }")
        .cylinder
        .unwrap();
    near(&water_volume, 0.0111);
    near(&pressure, 206.842_719e5);
    near(&reserve, 50e5);
    let given =
        item("cylinder = { water_volume = \"3 L\", pressure = \"30 bar\", reserve = \"0 bar\" }");
    assert_eq!(given.cylinder.unwrap().reserve.value, 0.0);
    let low = item("cylinder = { water_volume = \"3 L\", pressure = \"30 bar\" }");
    near(&low.cylinder.unwrap().reserve, 30e5);
}

#[test]
fn what_gives_way_is_gas_or_foam_and_needs_a_volume() {
    let suit = item("volume = \"9 L\"\ngas_volume = \"7 L\"\nvolume_at = [0.1, 0, 0]");
    assert!(matches!(suit.gives, Some(Gives::SoftGas(gas)) if (gas.value - 0.007).abs() < 1e-12));
    assert!(suit.volume_at.is_some());
    let foam = item("density = 60\nstiffness = \"50 bar\"");
    assert!(matches!(foam.gives, Some(Gives::Stiffness(pa)) if pa.value == 50e5));
}

#[test]
fn what_makes_no_sense_is_refused_with_its_line() {
    for (rest, said) in [
        ("gas_volume = \"7 L\"", "`volume` or `density`"),
        (
            "volume = \"5 L\"\ngas_volume = \"7 L\"",
            "at most the item's whole volume, 5.0 L",
        ),
        (
            "volume = \"5 L\"\ngas_volume = \"1 L\"\nstiffness = \"5 bar\"",
            "`gas_volume` and `stiffness`",
        ),
        ("cylinder = { water_volume = \"3 L\" }", "`pressure`"),
        (
            "cylinder = { water_volume = 3, pressure = \"200 bar\" }",
            "`water_volume`",
        ),
        (
            "cylinder = { water_volume = \"3 L\", pressure = \"20000 psi\" }",
            "at most 700 bar",
        ),
        (
            "cylinder = { water_volume = \"3 L\", pressure = \"20 bar\", reserve = \"50 bar\" }",
            "at most `pressure`, 20.0 bar",
        ),
        (
            "cylinder = { water_volume = \"3 L\", pressure = \"20 bar\", resrve = \"5 bar\" }",
            "did you mean `reserve`?",
        ),
    ] {
        let problem = problem(&item_text(rest));
        let text = problem.to_string();
        assert!(text.contains(said), "{rest}\n{text}");
        assert!(line_and_column(&problem).0 >= 3, "{text}");
    }
}

#[test]
fn a_weighed_hull_may_name_its_material() {
    let boat = good(
        "[hull]\nmesh = \"h.stl\"\nmass = 30\ncentre = [1, 0, 0.1]\ndensity = \"955 kg/m3\"\n",
    );
    let Weight::Weighed { density, .. } = boat.hull.weight else {
        panic!("{:?}", boat.hull.weight);
    };
    assert_eq!(density.unwrap().value, 955.0);
}

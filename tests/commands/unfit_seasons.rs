//! Seasons that cannot be, each refused with its place.

use super::world::World;

fn fault(from: &str, to: &str) -> String {
    World::new().edit("study.yaml", from, to).faults()
}

#[test]
fn weights_that_sum_to_zero() {
    let said = fault("[track.yaml]", "[{track: track.yaml, weight: 0}]");
    assert!(said.contains("the weights sum to zero"), "{said}");
}

#[test]
fn a_weight_in_percent() {
    let said = fault("[track.yaml]", "[{track: track.yaml, weight: 150 %}]");
    assert!(
        said.contains("weight: `%` stands after the number"),
        "{said}"
    );
    assert!(
        said.contains("write a number without a unit: `1.5`"),
        "{said}"
    );
}

#[test]
fn an_empty_season() {
    let said = fault("[track.yaml]", "[]");
    assert!(said.contains("venues: none is written"), "{said}");
}

#[test]
fn an_uncertainty_of_200_percent() {
    let said = World::new()
        .edit(
            "car.yaml",
            "rev_limit",
            "uncertain: {grip: 200 %}\nrev_limit",
        )
        .edit(
            "study.yaml",
            "2500 rpm}",
            "2500 rpm, uncertain: {corner_share: 200 %}}",
        )
        .faults();
    assert!(
        said.contains("car.yaml") && said.contains("study.yaml"),
        "{said}"
    );
    for fault in [
        "grip: `200 %` is above 50 %",
        "corner_share: `200 %` is above 50 %",
    ] {
        assert!(said.contains(fault), "{said}");
    }
}

#[test]
fn two_currencies() {
    let said = World::new()
        .edit("testday.yaml", "correct_to", "currency: EUR\ncorrect_to")
        .edit("study.yaml", "driver:", "currency: GBP\ndriver:")
        .faults();
    assert!(said.contains("two currencies"), "{said}");
    let said = World::new()
        .edit("testday.yaml", "correct_to", "currency: EUR\ncorrect_to")
        .edit(
            "testday.yaml",
            "pulls: long.csv",
            "price: 300 GBP\n    pulls: long.csv",
        )
        .faults();
    assert!(said.contains("GBP beside prices in EUR"), "{said}");
}

#[test]
fn a_tooth_count_of_zero() {
    for options in [
        "{final_drive: 0/38}",
        "{final_drive: {pinion: 0, crownwheel: 38}}",
        "{drop_gear: 0/25}",
    ] {
        let said = World::new()
            .edit(
                "car.yaml",
                "rev_limit",
                &format!("options: {options}\nrev_limit"),
            )
            .faults();
        assert!(said.contains('0') && said.contains("write"), "{said}");
    }
}

#[test]
fn chances_that_do_not_sum_to_one() {
    let said = fault(
        "[track.yaml]",
        "[{track: track.yaml, conditions: {dry: 0.6, wet: 0.5}}]",
    );
    assert!(said.contains("sum to 110 %"), "{said}");
}

#[test]
fn what_is_not_tagged_for_the_class_is_left_out_and_named() {
    let world = World::new()
        .edit("study.yaml", "driver:", "allowed_in: club 2000\ndriver:")
        .edit(
            "testday.yaml",
            "pulls: long.csv",
            "allowed_in: club 2000\n    pulls: long.csv",
        );
    let output = world.rank();
    let said = world.said(&output.stderr);
    assert!(output.status.success(), "{said}");
    assert!(
        said.contains("not tagged for club 2000 and left out: short"),
        "{said}"
    );
    assert!(!said.contains("legal"), "{said}");
    let said = fault("driver:", "allowed_in: club 2000\ndriver:");
    assert!(said.contains("no spec of the study is tagged"), "{said}");
}

use super::*;
use approx::assert_relative_eq;

fn spec(parts: &[(&str, &str)]) -> Spec {
    Spec {
        name: format!("{parts:?}"),
        parts: parts
            .iter()
            .map(|(kind, part)| ((*kind).to_owned(), (*part).to_owned()))
            .collect(),
        retuned: None,
        price: None,
        mass: None,
        swap_time: None,
        allowed_in: Vec::new(),
        fittings: Vec::new(),
    }
}

fn grid(parts: &[(&str, &str)]) -> Vec<Spec> {
    parts
        .iter()
        .map(|(m, t)| spec(&[("manifold", m), ("trumpets", t)]))
        .collect()
}

/// Changes of each effect, as words.
fn told(found: &Attribution) -> Vec<String> {
    let words = |e: &Effect| {
        let changes: Vec<&str> = e.changes.iter().map(|c| c.to.as_str()).collect();
        changes.join(" and ")
    };
    found.effects.iter().map(words).collect()
}

#[test]
fn one_change_is_told_by_the_two_specs_that_differ_by_it() {
    let found = attribute(&grid(&[("long", "90"), ("short", "90")]));
    assert_eq!(told(&found), ["short"]);
    let contrast = found.effects[0].contrast.clone().unwrap();
    assert_relative_eq!(contrast[0], -1.0, epsilon = 1e-9);
    assert_relative_eq!(contrast[1], 1.0, epsilon = 1e-9);
    assert!(!found.is_confounded());
    assert_eq!(found.missing, None);
}

#[test]
fn two_changes_at_once_are_confounded_and_the_missing_spec_is_named() {
    let found = attribute(&grid(&[
        ("long", "90"),
        ("short", "90"),
        ("stepped", "120"),
    ]));
    assert_eq!(told(&found), ["short", "stepped and 120"]);
    let together = found.effects[1].contrast.clone().unwrap();
    for (a, b) in together.iter().zip([-1.0, 0.0, 1.0]) {
        assert_relative_eq!(*a, b, epsilon = 1e-9);
    }
    let missing = found.missing.unwrap();
    // The stepped manifold with the trumpets it did not have, or the reverse.
    assert_eq!(missing.like, 2);
    assert_eq!(missing.parts, 2);
    assert!(found.effects.len() == 2);
}

/// A third spec on the way parts two changes; all four of a square give each twice.
#[test]
fn a_spec_on_the_way_parts_two_changes() {
    let way = attribute(&grid(&[("long", "90"), ("long", "120"), ("short", "120")]));
    assert_eq!(told(&way), ["short", "120"]);
    let square = attribute(&grid(&[
        ("long", "90"),
        ("long", "120"),
        ("short", "90"),
        ("short", "120"),
    ]));
    let contrast = square.effects[0].contrast.clone().unwrap();
    for (a, b) in contrast.iter().zip([-0.5, -0.5, 0.5, 0.5]) {
        assert_relative_eq!(*a, b, epsilon = 1e-9);
    }
}

#[test]
fn specs_that_differ_by_name_alone_are_unexplained() {
    let found = attribute(&grid(&[("long", "90"), ("long", "90")]));
    assert!(found.effects.is_empty());
    assert_eq!(found.unexplained, [(0, 1)]);
}

#[test]
fn a_kind_that_some_specs_do_not_name_counts_as_a_part() {
    let specs = [spec(&[("manifold", "long")]), spec(&[])];
    let found = attribute(&specs);
    assert_eq!(told(&found), [UNNAMED]);
}

/// Changes that only ever come together share one effect, and leave those of others alone.
#[test]
fn changes_that_come_together_are_told_together() {
    let of = |a: &str, b: &str, c: &str, d: &str, e: &str| {
        spec(&[("a", a), ("b", b), ("c", c), ("d", d), ("e", e)])
    };
    let found = attribute(&[
        of("1", "1", "1", "1", "1"),
        of("2", "3", "4", "1", "1"),
        of("1", "1", "1", "5", "6"),
    ]);
    assert_eq!(told(&found), ["2 and 3 and 4", "5 and 6"]);
}

/// Told over bands in which both specs were measured, up to the very ends of their curves.
#[test]
fn an_effect_is_told_where_its_specs_were_measured() {
    let mut day = crate::dyno::sample::plain(&[(0, 3), (1, 3)]);
    for (spec, part) in day.specs.iter_mut().zip(["long", "short"]) {
        spec.parts.insert("manifold".into(), part.into());
    }
    let found = attribute(&day.specs);
    let reduced = day.reduce().unwrap();
    let curve = &reduced.specs[0].curve;
    let (first, last) = (curve.first_rpm(), curve.last_rpm());
    let over = |from_rpm, to_rpm| reduced.effect(&found.effects[0], Stretch { from_rpm, to_rpm });
    // The curves part by 1.6 % for every 1,000 rpm from 5,000.
    let told = over(5500.0, 6500.0).unwrap();
    assert!(told.low < told.value && told.value < told.high);
    assert!(told.low < 0.016 && 0.016 < told.high);
    assert!(over(first, last).is_some());
    assert!(over(first - 1.0, 6000.0).is_none());
    assert!(over(5000.0, last + 1.0).is_none());
}

/// Estimability is rank: on every table of three kinds with two parts each, an effect is told apart
/// exactly where adding its unit vector to the rows leaves the rank as it is.
#[test]
fn property_told_apart_is_estimable_by_rank() {
    let corners: Vec<[&str; 3]> = (0..8)
        .map(|i| {
            ["a", "b", "c"].map(|k| {
                if i >> (k.as_bytes()[0] - b'a') & 1 == 1 {
                    "new"
                } else {
                    "old"
                }
            })
        })
        .collect();
    let mut confounded = 0;
    for subset in 1u32..256 {
        let specs: Vec<Spec> = corners
            .iter()
            .enumerate()
            .filter(|(i, _)| subset >> i & 1 == 1)
            .map(|(_, parts)| spec(&[("a", parts[0]), ("b", parts[1]), ("c", parts[2])]))
            .collect();
        let table = Table::of(&specs);
        let width = table.changes.len() + 1;
        let rank = |rows: &[Vec<f64>]| width - null_space(rows, width).len();
        let found = attribute(&specs);
        for (i, change) in table.changes.iter().enumerate() {
            let mut rows = table.rows.clone();
            rows.push(
                (0..width)
                    .map(|k| f64::from(u8::from(k == i + 1)))
                    .collect(),
            );
            let estimable = rank(&rows) == rank(&table.rows);
            let alone = found
                .effects
                .iter()
                .any(|e| e.changes.len() == 1 && e.changes[0] == *change && e.contrast.is_some());
            assert_eq!(estimable, alone, "{subset:b} {change:?}");
        }
        confounded += usize::from(found.is_confounded());
        // A contrast shows its changes and nothing else.
        for effect in &found.effects {
            let Some(contrast) = &effect.contrast else {
                continue;
            };
            for (k, change) in table.changes.iter().enumerate() {
                let seen: f64 = contrast
                    .iter()
                    .zip(&table.rows)
                    .map(|(c, r)| c * r[k + 1])
                    .sum();
                let wanted = f64::from(u8::from(effect.changes.contains(change)));
                assert_relative_eq!(seen, wanted, epsilon = 1e-6);
            }
        }
    }
    assert!(confounded > 20);
}

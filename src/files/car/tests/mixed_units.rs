use super::*;
use proptest::prelude::*;

/// A number in one of several units, written out in full.
fn written(si: f64, units: &'static [(&'static str, f64)]) -> impl Strategy<Value = String> {
    (0..units.len()).prop_map(move |i| format!("{} {}", si / units[i].1, units[i].0))
}

const MASSES: &[(&str, f64)] = &[
    ("kg", 1.0),
    ("lb", 0.453_592_37),
    ("Lbs", 0.453_592_37),
    ("t", 1e3),
];
const LENGTHS: &[(&str, f64)] = &[
    ("m", 1.0),
    ("mm", 1e-3),
    ("in", 0.0254),
    ("ft", 0.3048),
    ("cm", 0.01),
];
const AREAS: &[(&str, f64)] = &[
    ("m2", 1.0),
    ("m²", 1.0),
    ("ft2", 0.3048 * 0.3048),
    ("sq ft", 0.3048 * 0.3048),
];
const TIMES: &[(&str, f64)] = &[("s", 1.0), ("ms", 1e-3), ("min", 60.0)];
const SPEEDS: &[(&str, f64)] = &[("rpm", 1.0), ("1/min", 1.0), ("rev/s", 60.0)];
const SHARES: &[(&str, f64)] = &[("%", 0.01), ("", 1.0), ("percent", 0.01)];

proptest! {
    /// Whatever mix of units a car is written in, it is the same car.
    #[test]
    fn property_any_mix_of_units_gives_the_same_car(
        mass in written(960.0, MASSES),
        wheelbase in written(2.41, LENGTHS),
        height in written(0.48, LENGTHS),
        radius in written(0.2796, LENGTHS),
        area in written(0.66, AREAS),
        shift in written(0.35, TIMES),
        limit in written(7200.0, SPEEDS),
        front in written(0.53, SHARES),
    ) {
        let text = |v: [&str; 8]| format!(
            "drive: rear\nmass: {}\nwheelbase: {}\ncg_height: {}\ntyre: {{radius: {}}}\n\
             drag_area: {}\nshift_time: {}\nrev_limit: {}\nweight_front: {}\n\
             ratios: [2.94, 1.94]\nfinal_drive: 4.22\n",
            v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7],
        );
        let plain = good(&text(
            ["960 kg", "2.41 m", "0.48 m", "0.2796 m", "0.66 m2", "0.35 s", "7200 rpm", "53 %"],
        ));
        let mixed = good(&text(
            [&mass, &wheelbase, &height, &radius, &area, &shift, &limit, &front],
        ));
        let numbers = |car: &Car| [
            car.trims[0].mass,
            car.wheelbase,
            car.cg_height,
            car.trims[0].rolling_radius,
            car.drag_area,
            car.gearbox.shift_times[0],
            car.rev_limit_rpm,
            car.front_share,
        ];
        for (a, b) in numbers(&plain).into_iter().zip(numbers(&mixed)) {
            prop_assert!((a - b).abs() <= 4.0 * f64::EPSILON * a, "{a} {b}");
        }
    }

    /// No text makes the reader panic, and a refusal always comes with an error.
    #[test]
    fn property_a_refusal_says_why(cut in 0..WHOLE.len(), noise in "[ -~\n\t:\\[\\]{}]{0,12}") {
        let mut text = WHOLE.to_owned();
        text.insert_str(cut, &noise);
        let (car, findings) = read_text(&text);
        prop_assert_eq!(car.is_none(), findings.has_errors());
    }
}

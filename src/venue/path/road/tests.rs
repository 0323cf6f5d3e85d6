use super::*;

fn points(of: &[(f64, f64)]) -> Vec<Point> {
    let point = |(fix, &(x, y)): (usize, &(f64, f64))| Point {
        x,
        y,
        z: None,
        t: None,
        fix,
    };
    of.iter().enumerate().map(point).collect()
}

#[test]
fn a_loop_of_two_places_is_no_road() {
    // Its closing chord would lead nowhere and have no length.
    let there_and_back = points(&[(0.0, 0.0), (150.0, 95.0), (0.0, 0.5)]);
    assert_eq!(smooth(&there_and_back, true, None, 0.0), None);
    assert!(smooth(&there_and_back, false, None, 0.0).is_some());
    let triangle = points(&[(0.0, 0.0), (150.0, 95.0), (0.0, 190.0), (0.0, 0.5)]);
    let road = smooth(&triangle, true, None, 0.0).unwrap();
    assert!(
        road.steps
            .iter()
            .all(|s| s.length > 0.0 && s.curvature.is_finite())
    );
}

#[test]
fn a_road_that_curls_within_a_chord_keeps_a_length() {
    let line = points(&[(0.0, 0.0), (25.0, 0.0), (50.0, 0.0)]);
    let raw = Raw::new(&line, false, false);
    let mut chords = raw.chords();
    let steps: usize = chords.iter().map(|chord| chord.steps).sum();
    // One whole turn over each chord ends where it began.
    let curvature = TAU / 25.0;
    let curled = Smoothed {
        curvature: vec![curvature; steps],
        heading: (0..steps).map(|i| curvature * 2.5 * i as f64).collect(),
        ..Smoothed::default()
    };
    raw.follow(&mut chords, &curled);
    for chord in &chords {
        assert!((5.0..=100.0).contains(&chord.length), "{}", chord.length);
    }
}

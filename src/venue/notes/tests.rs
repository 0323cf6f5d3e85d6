use super::*;
use approx::assert_relative_eq;

fn read(notes: &str) -> Vec<Piece> {
    pieces(notes, &Grades::default(), Some(25.0), &[]).unwrap()
}

fn corner_of(piece: &Piece) -> (f64, f64, Option<Side>, f64) {
    match &piece.form {
        Form::Corner {
            known:
                Known::Apex {
                    speed,
                    extent: Extent::Turn(turn),
                    ..
                },
            side,
            opens,
            ..
        } => (speed * 3.6, turn.to_degrees(), *side, *opens),
        _ => panic!("{piece:?} is no graded corner"),
    }
}

#[test]
fn a_page_of_notes_reads() {
    let pieces = read("100 HpL 60 3R");
    assert_eq!(pieces.len(), 4);
    assert_eq!(pieces[0], Piece::straight(100.0));
    let (speed, turn, side, _) = corner_of(&pieces[1]);
    assert_relative_eq!(speed, 28.0, epsilon = 1e-9);
    assert_relative_eq!(turn, 165.0, epsilon = 1e-9);
    assert_eq!(side, Some(Side::Left));
    assert_eq!(corner_of(&pieces[3]).2, Some(Side::Right));
}

#[test]
fn all_the_usual_ways_to_write_a_corner_mean_the_same() {
    let wanted = read("3L");
    for notes in [
        "L3", "3l", "3 left", "left 3", "3left", "left3", "3L into", "LEFT 3",
    ] {
        assert_eq!(read(notes), wanted, "{notes}");
    }
    let wanted = read("HpR");
    for notes in [
        "hairpin right",
        "right hairpin",
        "hpr",
        "Rhp",
        "hairpinR",
        "HP R",
    ] {
        assert_eq!(read(notes), wanted, "{notes}");
    }
    assert_eq!(read("SqL"), read("square left"));
}

#[test]
fn shades_go_a_third_of_the_way() {
    // From 66 to the next faster 84 and the next slower 52.
    assert_relative_eq!(corner_of(&read("3+L")[0]).0, 72.0, epsilon = 1e-9);
    assert_relative_eq!(corner_of(&read("3L+")[0]).0, 72.0, epsilon = 1e-9);
    assert_relative_eq!(
        corner_of(&read("L3-")[0]).0,
        66.0 - 14.0 / 3.0,
        epsilon = 1e-9
    );
    assert_relative_eq!(corner_of(&read("left 3+")[0]).0, 72.0, epsilon = 1e-9);
}

#[test]
fn words_after_a_corner_change_it() {
    assert_relative_eq!(
        corner_of(&read("3L long")[0]).1,
        55.0 * LONG,
        epsilon = 1e-9
    );
    assert_relative_eq!(corner_of(&read("3L opens")[0]).3, OPENS);
    assert_relative_eq!(
        corner_of(&read("3L tightens short")[0]).1,
        55.0 * SHORT,
        epsilon = 1e-9
    );
    let crest = &read("140 crest 60")[..];
    let lengths: Vec<Option<f64>> = crest.iter().map(Piece::length).collect();
    assert_eq!(lengths, [Some(130.0), Some(10.0), Some(60.0)]);
    assert_eq!(crest[1].crest, Some(25.0));
    assert_eq!((crest[0].crest, crest[2].crest), (None, None));
    // In a corner it is the corner's, and a short straight is all crest.
    assert_eq!(read("3L over crest 60").len(), 2);
    assert_eq!(read("10 crest 3L")[0].crest, Some(25.0));
}

#[test]
fn an_s_is_square_where_nothing_else_is() {
    assert_eq!(read("SL 60 S right"), read("SqL 60 SqR"));
    let mut grades = Grades::default();
    grades.grades[2].name = "slow".to_owned();
    assert!(pieces("SL", &grades, None, &[]).is_err());
    assert!(pieces("SqL slowR", &grades, None, &[]).is_ok());
}

#[test]
fn what_to_write_instead_is_said() {
    let said = |notes: &str| {
        let errors = pieces(notes, &Grades::default(), None, &[]).unwrap_err();
        let remedies = errors.into_iter().map(|error| match error {
            NoteError::Unknown { word, remedy, .. } => format!("{word}: {remedy}"),
            other => other.to_string(),
        });
        remedies.collect::<Vec<_>>().join("; ")
    };
    assert_eq!(
        said("1.2 km 3L"),
        "1.2: distances are in whole metres: write `1200`"
    );
    assert_eq!(
        said("1.2km 3L"),
        "1.2km: distances are in whole metres: write `1200`"
    );
    assert!(said("0 3L").contains("0: distances are whole metres from 10 to 10000"));
    assert!(said("3L tightens 2").contains("write `3L into 2L`"));
    assert!(said("80 4R tightens 3 200").contains("write `4R into 3R`"));
    assert!(said("60 L4- tightens 3 & R3").contains("write `L4- into L3`"));
    assert!(said("60 5 right tt 2").contains("write `5 right into 2R`"));
    assert!(said("3L 2").contains("say which way it goes, as in `2L`"));
    assert!(said("3L 60 finish").contains("finish: leave it out"));
    let meant = "write in words what it means: `tightens`, `opens` or `into`";
    assert_eq!(said("3L > 2R"), format!(">: {meant}"));
}

#[test]
fn distances_in_a_row_are_one_straight_and_flat_corners_are_road() {
    assert_eq!(read("100 60"), [Piece::straight(160.0)]);
    assert!(matches!(read("6L")[0].form, Form::Straight { .. }));
}

#[test]
fn a_percentage_is_the_slope_from_there_on() {
    let slopes: Vec<f64> = read("100 -4% 60 3R 2.5% 40")
        .iter()
        .map(|p| p.slope)
        .collect();
    assert_eq!(slopes, [0.0, -0.04, -0.04, 0.025]);
}

#[test]
fn what_is_no_note_is_named() {
    let fault = |notes: &str| {
        let errors = pieces(notes, &Grades::default(), None, &[]).unwrap_err();
        let said: Vec<String> = errors.iter().map(ToString::to_string).collect();
        said.join("; ")
    };
    assert_eq!(fault("100 7L"), "note 2, `7L`, is not known");
    assert_eq!(fault("100 3"), "note 2, `3`, is not known");
    assert_eq!(fault("100 left"), "note 2, `left`, is not known");
    assert_eq!(
        fault("long"),
        "note 1, `long`, belongs to a corner, and none comes before it"
    );
    assert_eq!(
        fault("100 crest"),
        "note 2 is a crest, and how fast it is taken is not known"
    );
    assert_eq!(fault(" "), "there are no notes");
    assert_eq!(
        fault("100 jct 60 3R jct"),
        "note 2, `jct`, is not known; note 5, `jct`, is not known"
    );
}

#[test]
fn words_for_the_ends_of_a_road_are_to_be_left_out() {
    for notes in [
        "100 3L 60 Ziel",
        "Start 100",
        "100 arrivée",
        "départ 100",
        "100 flying finish",
        "100 Flying Finish",
    ] {
        let errors = pieces(notes, &Grades::default(), None, &[]).unwrap_err();
        let [NoteError::Unknown { remedy, .. }] = &errors[..] else {
            panic!("{notes}: {errors:?}");
        };
        assert!(remedy.starts_with("leave it out"), "{notes}: {remedy}");
    }
}

#[test]
fn odd_text_is_refused_without_panic() {
    for notes in [
        "ü", "lü", "3ü", "-", "+", "+l", "l+", "é3", "3é", "→", "𝟛L", "l", "r3l", "m",
    ] {
        let _ = pieces(notes, &Grades::default(), None, &[]);
    }
}

#[test]
fn commas_part_words_but_for_one_that_is_a_decimal_point() {
    let of = |notes: &str| words(notes).map(str::to_owned).collect::<Vec<String>>();
    assert_eq!(of("100,3R,60,4L"), ["100", "3R", "60", "4L"]);
    assert_eq!(of("100, 3R , 60;4L"), ["100", "3R", "60", "4L"]);
    assert_eq!(of("100,60 3R"), ["100", "60", "3R"]);
    assert_eq!(
        of("0,40 3R 1,25km 4L 12,5: HpL"),
        ["0,40", "3R", "1,25km", "4L", "12,5:", "HpL"]
    );
    assert_eq!(of(",,3R,,"), ["3R"]);
}

/// A unit behind a reading is the reading's, whatever the trip meter's is.
#[test]
fn a_reading_has_the_unit_that_is_written_behind_it() {
    use super::trip::{self, Unit};
    let of = |notes: &str, unit| -> f64 {
        let pieces = trip::pieces(notes, unit, &Grades::default(), None, 9.0, &[]).unwrap();
        pieces.iter().filter_map(Piece::length).sum()
    };
    let plain = of("0.4 3R 0.65 4L 1.2 2R", Unit::Kilometre);
    for (notes, unit) in [
        ("0.4km 3R 650m 4L 1.2 2R", Unit::Kilometre),
        ("0.4km 3R 0.65km 4L 1.2km 2R", Unit::Mile),
        ("400 3R 650 4L 1.2km 2R", Unit::Metre),
    ] {
        assert_relative_eq!(of(notes, unit), plain, max_relative = 1e-9);
    }
    // What does not rise is held against the reading before it that counts.
    let falls = trip::pieces(
        "0.1 3R 0.9 4L 0.3 3R 0.5 4L",
        Unit::Kilometre,
        &Grades::default(),
        None,
        9.0,
        &[],
    );
    let said: Vec<String> = falls.unwrap_err().iter().map(ToString::to_string).collect();
    assert!(
        said.len() == 2 && said.iter().all(|text| text.contains("beyond `0.9`")),
        "{said:?}"
    );
}

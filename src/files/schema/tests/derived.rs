//! A plain derive of the schema's types reads the same as the decoder.

use super::*;

/// The number in a value, times `unit`.
fn number(scalar: &Scalar, unit: f64) -> f64 {
    match scalar {
        Scalar::Number(value) => value * unit,
        Scalar::Text(text) => text.split(' ').next().unwrap().parse::<f64>().unwrap() * unit,
        Scalar::Flag(_) => panic!("no number"),
    }
}

fn plain<T>(value: &PlainOr<T>) -> &Scalar {
    match value {
        PlainOr::Plain(scalar) => scalar,
        PlainOr::Keys(_) => panic!("keys"),
    }
}

/// Reads a demo file by its types alone.
fn derived<T: serde::de::DeserializeOwned>(path: &str) -> (PathBuf, T) {
    let path = root().join(path);
    let text = fs::read_to_string(&path).unwrap();
    let value = serde_yaml::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    (path, value)
}

#[test]
fn a_plain_derive_reads_the_same_car() {
    for name in ["cars/rowan-coupe/car.yaml", "cars/plum-hatch/car.yaml"] {
        let (path, by_types) = derived::<car::Car>(name);
        let read = car_file::read(&path, &mut Findings::new()).unwrap();
        let gears = by_types.gearbox.unwrap();
        let Some(OneOrMore::More(ratios)) = &gears.ratios else {
            panic!("one gear")
        };
        let ratios: Vec<f64> = ratios.iter().map(|ratio| number(ratio, 1.0)).collect();
        assert_eq!(ratios, read.gearbox.ratios);
        assert_eq!(
            number(by_types.wheelbase.as_ref().unwrap(), 1.0),
            read.wheelbase
        );
        assert_eq!(
            number(by_types.rev_limit.as_ref().unwrap(), 1.0),
            read.rev_limit_rpm
        );
        let trims = by_types.trims.unwrap();
        assert_eq!(trims.len(), read.trims.len());
        for trim in &read.trims {
            assert_eq!(
                number(trims[&trim.name].mass.as_ref().unwrap(), 1.0),
                trim.mass
            );
        }
        let Scalar::Text(teeth) = plain(by_types.final_drive.as_ref().unwrap()) else {
            panic!("a ratio")
        };
        let (pinion, wheel) = teeth.split_once('/').unwrap();
        let ratio = wheel.parse::<f64>().unwrap() / pinion.parse::<f64>().unwrap();
        assert_eq!(ratio, read.final_drive.ratio);
    }
}

#[test]
fn a_plain_derive_reads_the_same_test_day_study_and_track() {
    let (path, by_types) = derived::<testday::TestDay>("cars/rowan-coupe/testday.yaml");
    let read = testday_file::read(&path, &mut Findings::new()).unwrap();
    assert_eq!(by_types.specs.len(), read.specs.len());
    for (by_types, read) in by_types.specs.iter().zip(&read.specs) {
        assert_eq!(by_types.name, Scalar::Text(read.name.clone()));
        assert_eq!(
            number(by_types.mass.as_ref().unwrap(), 1.0),
            read.mass.unwrap()
        );
        assert_eq!(
            number(by_types.price.as_ref().unwrap(), 1.0),
            read.price.unwrap()
        );
        assert_eq!(by_types.parts.as_ref().unwrap().len(), read.parts.len());
    }
    let (path, by_types) = derived::<study::Study>("examples/club-season.yaml");
    let read = study_file::read(&path, &mut Findings::new()).unwrap();
    let Some(OneOrMore::More(venues)) = &by_types.venues else {
        panic!("one venue")
    };
    assert_eq!(venues.len(), read.entries.len());
    for (by_types, read) in venues.iter().zip(&read.entries) {
        let PlainOr::Keys(venue) = by_types else {
            panic!("a file alone")
        };
        assert_eq!(venue.passes.unwrap_or(1), read.passes);
        assert_eq!(venue.laps, read.laps);
    }
    let (path, by_types) = derived::<track::Track>("tracks/vennick.yaml");
    let read = track_file::read(&path, &mut Findings::new()).unwrap();
    let pieces = by_types.pieces.unwrap();
    let straights = pieces.iter().filter_map(|piece| piece.straight.as_ref());
    let length = |straight: &PlainOr<track::Straight>| match straight {
        PlainOr::Plain(length) => number(length, 1.0),
        PlainOr::Keys(straight) => number(&straight.length, 1.0),
    };
    let corners = pieces.iter().filter_map(|piece| piece.corner.as_ref());
    let arc = |corner: &track::Corner| {
        let turn = number(corner.turn.as_ref().unwrap(), 1.0).to_radians();
        number(corner.radius.as_ref().unwrap(), 1.0) * turn
    };
    let by_types: f64 = straights.map(length).chain(corners.map(arc)).sum();
    let read: f64 = read
        .sections
        .iter()
        .filter_map(|section| section.length())
        .sum();
    approx::assert_relative_eq!(by_types, read, max_relative = 1e-12);
}

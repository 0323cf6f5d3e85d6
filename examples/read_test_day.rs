//! A test day from its file to curves and a comparison: `cargo run --example read_test_day`.
//!
//! Reads the demo's day, brings every pull to the standard of the day, and says what each spec makes,
//! where two of them cross, and by how much one leads in each band of rpm, with 95 % intervals.

use pullrank::files::{finding::Findings, testday};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut found = Findings::new();
    let Some(day) = testday::read("cars/rowan-coupe/testday.yaml".as_ref(), &mut found) else {
        found.iter().for_each(|finding| eprintln!("{finding}"));
        return Err("the test day cannot be read".into());
    };
    let reduced = day.reduce()?;
    println!("Corrected to {}:", day.correct_to.name());
    for (spec, reduced) in day.specs.iter().zip(&reduced.specs) {
        let (torque, power) = (reduced.curve.peak_torque(), reduced.curve.peak_power());
        println!(
            "  {:16}  {:3.0} N·m at {:.0} rpm, {:3.0} kW at {:.0} rpm",
            spec.name,
            torque.value,
            torque.rpm,
            power.value / 1000.0,
            power.rpm
        );
    }
    let compared = reduced.compare(1, 0).ok_or("nothing to compare")?;
    let name = |spec: usize| &day.specs[spec].name;
    let (first, second) = (name(compared.first), name(compared.second));
    for crossover in &compared.crossovers {
        let end = |rpm: Option<f64>| rpm.map_or("an end".to_owned(), |rpm| format!("{rpm:.0}"));
        println!(
            "{first} and {second} cross between {} and {} rpm (95 %).",
            end(crossover.low),
            end(crossover.high)
        );
    }
    for gain in &compared.gains {
        let torque = gain.torque;
        println!(
            "  {:5.0} to {:5.0} rpm: {:+5.1} N·m, {:+.1} to {:+.1}",
            gain.band.from_rpm, gain.band.to_rpm, torque.value, torque.low, torque.high
        );
    }
    Ok(())
}

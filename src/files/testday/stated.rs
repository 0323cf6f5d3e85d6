//! Weather that the files say themselves, in lines above their tables.

use super::fittings::{FoundPull, FoundSpec};
use crate::air::Air;
use crate::dyno::Standard;
use crate::units::ZERO_CELSIUS;

/// Specs whose weather is written out.
const LISTED: usize = 4;
/// How far the air of a pull may lie from what its file says, Pa and K (common practice, no source): half a per cent
/// of torque each.
const PRESSURE_OFF: f64 = 500.0;
const WARMTH_OFF: f64 = 3.0;
/// Share of torque by which weather that is not reckoned with decides how specs compare, the usual scatter of a
/// refit.
const DECIDES: f64 = 0.005;

/// Weather that files say and the day does not.
pub struct Unused {
    /// What it is, in words.
    pub text: String,
    /// What to write.
    pub remedy: String,
    /// The specs differ by it.
    pub decides: bool,
}

/// The weather that the files of a day say, by spec, the first of each.
pub fn unused(specs: &[FoundSpec]) -> Option<Unused> {
    let said: Vec<(&str, String, Option<Air>)> = specs
        .iter()
        .filter_map(|spec| {
            let mut pulls = spec.counting().filter(|found| found.pull.air.is_none());
            let stated = pulls.find_map(|found| found.measured.weather.as_ref())?;
            Some((spec.name.as_str(), stated.written()?, stated.air()))
        })
        .collect();
    if said.is_empty() {
        return None;
    }
    let listed: Vec<String> = said
        .iter()
        .take(LISTED)
        .map(|(spec, weather, _)| format!("`weather: {weather}` for {spec}"))
        .collect();
    let more = match said.len().saturating_sub(LISTED) {
        0 => "",
        _ => ", and so on",
    };
    let factors = said
        .iter()
        .filter_map(|(.., air)| Standard::Din70020.factor(air.as_ref()?));
    let (least, most) = factors.fold((f64::INFINITY, 0.0), |(least, most): (f64, f64), factor| {
        (least.min(factor), most.max(factor))
    });
    let apart = most / least - 1.0;
    let decides = apart > DECIDES;
    let between = match decides {
        true => format!(
            ", which makes {:.1} % of torque between specs",
            100.0 * apart
        ),
        false => String::new(),
    };
    Some(Unused {
        text: format!("the files say their weather themselves, above their tables{between}"),
        remedy: format!(
            "write what they say beside each spec: {}{more}",
            listed.join(", ")
        ),
        decides,
    })
}

/// Asks about the pull whose air lies farthest from what its own file says, of those that are brought to a standard
/// by it.
pub fn differ(to: Standard, specs: &[FoundSpec]) {
    if to == Standard::Uncorrected {
        return;
    }
    let pulls = specs
        .iter()
        .flat_map(|spec| spec.counting().map(move |found| (spec, found)));
    let told = pulls.filter_map(|(spec, found)| {
        let as_read = found.pull.corrected == Standard::Uncorrected;
        let own = found.measured.weather.as_ref().filter(|_| as_read)?.air()?;
        let given = found.pull.air?;
        let off = ((given.pressure - own.pressure) / PRESSURE_OFF)
            .abs()
            .max(((given.temperature - own.temperature) / WARMTH_OFF).abs());
        (off > 1.0).then_some((off, spec, found, own, given))
    });
    let Some((_, spec, found, own, given)) = told.max_by(|a, b| a.0.total_cmp(&b.0)) else {
        return;
    };
    let words = |air: &Air| {
        format!(
            "{:.0} hPa and {:.0} °C",
            air.pressure / 100.0,
            air.temperature - ZERO_CELSIUS
        )
    };
    let text = format!(
        "{}: the file says {}, and the day takes {}",
        spec.call(found),
        words(&own),
        words(&given)
    );
    found.item.ask(text, remedy(found));
}

fn remedy(found: &FoundPull) -> String {
    let stated = found.measured.weather.as_ref();
    let weather = stated.and_then(|stated| stated.written());
    format!(
        "where the file has what was measured beside the engine write that, as in `weather: {}`",
        weather.unwrap_or_default()
    )
}

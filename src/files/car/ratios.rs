//! The ratios of a gear set, and the ways in which they are written that are no list of them.

use crate::car::driveline::rpm_per_speed;
use crate::files::yaml::Item;
use crate::units::{self, SPEED};

/// Lowest and highest ratio of a gear.
const RANGE: std::ops::RangeInclusive<f64> = 0.2..=20.0;
/// First and top gear of a set of several gears above which they may have the final drive in them
/// (common practice, no source).
const OVERALL: (f64, f64) = (6.0, 2.0);
/// Most gears of a set.
pub const MOST_GEARS: usize = 10;

/// Ratios each with its gear are told as the list that they make.
fn by_gear(item: &Item) -> Option<Vec<f64>> {
    let entries = item.entries()?;
    let mut figures: Vec<(u32, &str)> = entries
        .iter()
        .filter_map(|entry| Some((entry.name().parse().ok()?, entry.word()?)))
        .collect();
    figures.sort_unstable_by_key(|(gear, _)| *gear);
    let whole = figures.len() == entries.len() && figures.iter().zip(1..).all(|(f, k)| f.0 == k);
    let list: Vec<&str> = figures.iter().map(|(_, figure)| *figure).collect();
    let written = match whole {
        true => format!("`ratios: [{}]`", list.join(", ")),
        false => "as in `ratios: [2.94, 1.94, 1.36, 1.00]`".to_owned(),
    };
    let remedy = format!("write them from first gear to top: {written}");
    item.error("ratios is a list, without the names of the gears", remedy);
    None
}

/// Ratios from first gear to top.
pub fn ratios(item: &Item) -> Option<Vec<f64>> {
    if item.is_mapping() {
        return by_gear(item);
    }
    let items = item.one_or_more();
    if in_one_text(item, &items) || decimal_commas(item, &items) || one_decimal_comma(item, &items)
    {
        return None;
    }
    let ratios = match by_teeth(item, &items) {
        Some(ratios) => ratios?,
        None => {
            let read: Vec<Option<f64>> = items.iter().map(|i| i.number(RANGE)).collect();
            read.into_iter().collect::<Option<_>>()?
        }
    };
    falling(item, &items, &ratios)?;
    let (first, top) = (ratios[0], ratios[ratios.len() - 1]);
    if ratios.len() > 2 && first > OVERALL.0 && top > OVERALL.1 {
        let text = format!(
            "ratios: first gear {first} and top gear {top}: are these multiplied by the final drive?"
        );
        item.warning(
            text,
            "if so divide each by it: `final_drive` is multiplied in here",
        );
    }
    Some(ratios)
}

/// Ratios from first gear to top by the road speed in each at 1,000 rpm, with the final drive and the rolling radius,
/// m, of the car.
pub fn by_speed(item: &Item, (final_drive, radius): (f64, f64)) -> Option<Vec<f64>> {
    let items = item.one_or_more();
    let ratio = |item: &Item| {
        let speed = item.quantity(&SPEED, 0.5..=100.0)?;
        Some(1000.0 / (speed * rpm_per_speed(final_drive, radius)))
    };
    let read: Vec<Option<f64>> = items.iter().map(ratio).collect();
    let ratios: Vec<f64> = read.into_iter().collect::<Option<_>>()?;
    falling(item, &items, &ratios)?;
    if let Some(off) = ratios.iter().find(|ratio| !RANGE.contains(ratio)) {
        let text = format!(
            "{}: with this tyre and final drive it makes a gear of {off:.2}",
            item.name()
        );
        item.error(text, "write the speed at 1,000 rpm, as in `8.1 km/h`");
        return None;
    }
    Some(ratios)
}

/// Whether there is one for each gear, and each gear is longer than the one before.
fn falling(item: &Item, items: &[Item], ratios: &[f64]) -> Option<()> {
    let name = item.name();
    if ratios.is_empty() || ratios.len() > MOST_GEARS {
        let text = format!("{name}: {} gears", ratios.len());
        item.error(
            text,
            format!("write one for each of 1 to {MOST_GEARS} gears"),
        );
        return None;
    }
    let rising = ratios.len() > 1 && ratios.windows(2).all(|w| w[0] < w[1]);
    if rising {
        let words: Vec<&str> = items.iter().rev().filter_map(Item::word).collect();
        let remedy = format!("first gear comes first: `{name}: [{}]`", words.join(", "));
        // Speeds rise as ratios fall.
        let way = if name == "ratios" { "rise" } else { "fall" };
        item.error(
            format!("{name}: these {way} from the first to the last"),
            remedy,
        );
        return None;
    }
    if let Some(k) = (1..ratios.len()).find(|&k| ratios[k] >= ratios[k - 1]) {
        let text = format!(
            "{name}: gear {} ({}) is not below gear {k} ({})",
            k + 1,
            units::plain((1e3 * ratios[k]).round() / 1e3),
            units::plain((1e3 * ratios[k - 1]).round() / 1e3)
        );
        let remedy = match items[k].word().is_some_and(|word| teeth(word).is_some()) {
            true => {
                "write them from first gear to top, falling: are the teeth of this one the other way round?"
            }
            false => "write the ratios from first gear to top, falling",
        };
        items[k].error(text, remedy);
        return None;
    }
    Some(())
}

/// Two numbers of teeth.
fn teeth(word: &str) -> Option<(f64, f64)> {
    let (one, other) = word.split_once(['/', '-', ':'])?;
    let whole = |text: &str| text.trim().parse::<u16>().ok().filter(|n| *n > 0);
    Some((f64::from(whole(one)?), f64::from(whole(other)?)))
}

/// Ratios of which some are teeth, `[34/12, 28/16, 1.00]`: which gear of a pair drives is the same in all, and told by
/// first gear, which reduces, else by what falls from the gear before. `None` where none is teeth; then no ratios
/// where it cannot be told.
fn by_teeth(item: &Item, items: &[Item]) -> Option<Option<Vec<f64>>> {
    let words: Vec<&str> = items.iter().map(Item::word).collect::<Option<_>>()?;
    let mut pairs = words.iter().enumerate();
    let (place, (one, other)) = pairs.find_map(|(at, word)| Some((at, teeth(word)?)))?;
    let before = place.checked_sub(1).and_then(|at| words[at].parse().ok());
    let falls = |ratio: f64| before.map_or(ratio > 1.0, |before: f64| ratio < before);
    let driven_first = match (falls(one / other), falls(other / one)) {
        (true, true) => {
            let [a, b] = [one / other, other / one].map(|ratio| format!("{ratio:.3}"));
            let text = format!(
                "{}: which of the two gears drives is not told",
                words[place]
            );
            items[place].error(text, format!("write it as a number, {a} or {b}"));
            return Some(None);
        }
        (driven_first, _) => driven_first,
    };
    let read = |one: &Item| {
        let Some((a, b)) = one.word().and_then(teeth) else {
            return one.number(RANGE);
        };
        let ratio = if driven_first { a / b } else { b / a };
        if !RANGE.contains(&ratio) {
            let text = format!("ratios: {ratio:.3} is no ratio of a gear");
            one.error(text, "count the teeth of both");
            return None;
        }
        Some(ratio)
    };
    let ratios: Option<Vec<f64>> = items.iter().map(read).collect();
    if let Some(ratios) = &ratios {
        let listed: Vec<String> = ratios.iter().map(|ratio| format!("{ratio:.3}")).collect();
        let order = match driven_first {
            true => "driven over driving",
            false => "driving before driven",
        };
        let text = format!("teeth {order}: ratios {}", listed.join(", "));
        item.assumed("ratios", text);
    }
    Some(ratios)
}

/// `[2,94, 1,94]`: a list of whole numbers where decimals with a comma were meant.
fn decimal_commas(item: &Item, items: &[Item]) -> bool {
    // Without commas between the numbers blanks stand in what the comma of the decimals parts.
    let written: Vec<&str> = items.iter().filter_map(Item::word).collect();
    let words: Vec<&str> = written.iter().flat_map(|word| word.split(' ')).collect();
    let whole = |w: &&str| !w.is_empty() && w.bytes().all(|b| b.is_ascii_digit());
    let pairs = written.len() == items.len() && words.len().is_multiple_of(2);
    if !pairs || !words.iter().all(whole) || !words.chunks(2).any(|p| p[1].len() == 2) {
        return false;
    }
    let meant: Vec<String> = words.chunks(2).map(|p| p.join(".")).collect();
    item.error(
        format!(
            "{}: commas part the entries, so these are {} numbers",
            item.name(),
            items.len()
        ),
        format!("write decimals with a point: `[{}]`", meant.join(", ")),
    );
    true
}

/// `2.94 / 1.94 / 1.36` and the like: several numbers in one text.
fn in_one_text(item: &Item, items: &[Item]) -> bool {
    let [only] = items else { return false };
    let list = only.word().and_then(parted);
    if let Some(list) = &list {
        let text = format!("{}: {} numbers in one text", item.name(), list.len());
        only.error(text, format!("write a list, as in `[{}]`", list.join(", ")));
    }
    list.is_some()
}

/// The ratios in a text, each with a decimal point: parted by strokes and the like, by blanks, or by commas.
fn parted(text: &str) -> Option<Vec<String>> {
    const STROKES: [char; 3] = ['/', ';', '|'];
    let by_commas = !text.contains(STROKES) && !text.contains(char::is_whitespace);
    let parts: Vec<&str> = match text.contains(STROKES) {
        true => text.split(STROKES).collect(),
        false if by_commas => text.split(',').collect(),
        false => text.split_whitespace().collect(),
    };
    let part = |part: &&str| part.trim_matches([' ', ',', '-', '–']).replace(',', ".");
    let list: Vec<String> = parts.iter().map(part).filter(|p| !p.is_empty()).collect();
    // A comma may be that of the decimals too.
    let list = match by_commas && list.len().is_multiple_of(2) && list.iter().all(|p| whole(p)) {
        true => list.chunks(2).map(|pair| pair.join(".")).collect(),
        false => list,
    };
    let ratio = |part: &String| read(part).is_some();
    (list.len() > 1 && list.iter().all(ratio)).then_some(list)
}

/// The ratio that a text is.
fn read(text: &str) -> Option<f64> {
    let (value, unit) = units::number(text).ok()?;
    (unit.is_empty() && RANGE.contains(&value)).then_some(value)
}

fn whole(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}

/// `[2.94, 1.94, 1,36, 1.00]`: a comma where one of the numbers was meant to have a decimal point. They are no
/// ratios as they stand, and are with the two halves put together.
fn one_decimal_comma(item: &Item, items: &[Item]) -> bool {
    let Some(words) = items.iter().map(Item::word).collect::<Option<Vec<&str>>>() else {
        return false;
    };
    let falling = |words: &[String]| {
        let read: Option<Vec<f64>> = words.iter().map(|word| read(word)).collect();
        read.is_some_and(|ratios| ratios.windows(2).all(|pair| pair[0] > pair[1]))
    };
    let as_written: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
    let mut cut = None;
    let mut meant: Vec<String> = Vec::with_capacity(words.len());
    let mut rest = 0..words.len();
    while let Some(i) = rest.next() {
        let next = words
            .get(i + 1)
            .filter(|next| whole(words[i]) && whole(next));
        match next.filter(|_| items[i].is_joined_to(&items[i + 1])) {
            Some(next) => {
                rest.next();
                cut = cut.or(Some(i));
                meant.push(format!("{}.{next}", words[i]));
            }
            None => meant.push(as_written[i].clone()),
        }
    }
    let Some(cut) = cut.filter(|_| !falling(&as_written) && falling(&meant)) else {
        return false;
    };
    let text = format!(
        "{}: a comma in brackets parts entries, so `{}` and `{}` are two numbers",
        item.name(),
        words[cut],
        words[cut + 1]
    );
    items[cut].error(
        text,
        format!("write decimals with a point: `[{}]`", meant.join(", ")),
    );
    true
}

#[cfg(test)]
mod tests {
    use super::parted;

    #[test]
    fn ratios_in_one_text_are_parted_in_any_way() {
        for text in [
            "2.94 / 1.94 / 1.36 / 1.00",
            "2.94/1.94/1.36/1.00",
            "2,94 / 1,94 / 1,36 / 1,00",
            "2.94 1.94 1.36 1.00",
            "2,94 1,94 1,36 1,00",
            "2.94, 1.94, 1.36, 1.00",
            "2,94, 1,94, 1,36, 1,00",
            "2.94,1.94,1.36,1.00",
            "2,94,1,94,1,36,1,00",
            "2,94; 1,94; 1,36; 1,00",
            "2.94 - 1.94 - 1.36 - 1.00",
        ] {
            let list = parted(text).map(|list| list.join(" "));
            assert_eq!(list.as_deref(), Some("2.94 1.94 1.36 1.00"), "{text}");
        }
        for text in ["4, 3, 2, 1", "4 3 2 1"] {
            let list = parted(text).map(|list| list.join(" "));
            assert_eq!(list.as_deref(), Some("4 3 2 1"), "{text}");
        }
        for text in ["2.94", "2,94", "9/38", "2.94 kg", "2.94 to 1", "close", ""] {
            assert_eq!(parted(text), None, "{text}");
        }
    }
}

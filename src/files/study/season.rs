//! What a study says of the whole season, and whether the parts of its files fit it.

use std::path::Path;

use super::plan::{Place, Plan};
use super::results::Driven;
use crate::car::offer::Terms;
use crate::car::{Car, FinalDrive};
use crate::dyno::{Spec, TestDay};
use crate::files::car::mass_of_car;
use crate::files::finding::{Findings, quoted};
use crate::files::nearest::meant_by;
use crate::files::yaml::{Item, Map};
use crate::study::Entry;
use crate::study::season::{EventResult, Rules};

/// Most results of a season.
const MOST_RESULTS: usize = 500;

/// A text with its place.
pub(super) type Said = (String, Place);

/// The season as written.
#[derive(Debug, Default)]
pub struct Written {
    fitted: Option<Said>,
    currency: Option<Said>,
    allowed_in: Option<Said>,
    minimum_mass: Option<f64>,
    results: Vec<Driven>,
}

impl Written {
    /// Reads the keys of a study.
    pub fn read(map: &Map) -> Self {
        let said = |key: &str| map.take(key).and_then(|item| said(&item));
        let results = map.take("results");
        let items = results.map(|item| item.one_or_more()).unwrap_or_default();
        if items.len() > MOST_RESULTS
            && let Some(item) = results
        {
            let text = format!("results: {} are more than {MOST_RESULTS}", items.len());
            item.error(text, "leave out those of other seasons");
        }
        Self {
            fitted: said("fitted"),
            currency: said("currency"),
            allowed_in: said("allowed_in"),
            minimum_mass: map.take("minimum_mass").and_then(|item| mass_of_car(&item)),
            results: items.iter().filter_map(Driven::read).collect(),
        }
    }

    /// Says with which spec in the car its masses are taken to hold, where nobody does and it matters.
    pub fn assume_fitted(&self, path: &Path, test_day: &TestDay, findings: &mut Findings) {
        let Some(lightest) = test_day.lightest().filter(|_| self.fitted.is_none()) else {
            return;
        };
        let heavier = |spec: &Spec| spec.mass.is_some_and(|mass| Some(mass) != lightest.mass);
        if test_day.specs.iter().any(heavier) {
            let name = &lightest.name;
            let text =
                format!("masses of the trims hold with {name}, the lightest spec, in the car");
            findings.push(Place::whole(path).assumed("fitted", text));
        }
    }

    /// The rules for these specs and events, of as many as are wanted. `None` after a fault.
    pub fn rules(
        &self,
        test_day: &TestDay,
        compared: &[usize],
        (entries, wanted): (&[Entry], usize),
        findings: &mut Findings,
    ) -> Option<Rules> {
        let before = findings.errors();
        let specs: Vec<&str> = compared
            .iter()
            .map(|&i| test_day.specs[i].name.as_str())
            .collect();
        let spec_of = |said: &Said, findings: &mut Findings| {
            let (name, place) = said;
            let left_out = test_day.specs.iter().any(|spec| spec.name == *name);
            if left_out && !specs.contains(&name.as_str()) {
                let text = format!("{} is not among the specs compared", quoted(name));
                let remedy =
                    format!("add {name} to `specs`, or to the class where that leaves it out");
                findings.push(place.error(text, remedy));
                return None;
            }
            among(said, "spec", &specs, findings)
        };
        let fitted = self.fitted.as_ref();
        let fitted = fitted.and_then(|said| spec_of(said, findings));
        let mut results = Vec::new();
        for written in &self.results {
            // A venue that could not be read is a fault of its own.
            if entries.len() < wanted && !written.names_one_of(entries) {
                continue;
            }
            let found = written.candidates(entries, findings);
            let spec = match &written.spec {
                Some(said) => spec_of(said, findings),
                None => Some(fitted.unwrap_or(0)),
            };
            let Some((candidates, spec)) = found.zip(spec) else {
                continue;
            };
            let Some((entry, condition)) = written.driven(&candidates, entries, findings) else {
                continue;
            };
            results.push(EventResult {
                entry,
                spec,
                time: written.time,
                condition,
                set_aside: written.set_aside.clone(),
            });
        }
        (findings.errors() == before).then(|| Rules {
            allowed_in: self.allowed_in.as_ref().map(|(class, _)| class.clone()),
            minimum_mass: self.minimum_mass,
            fitted,
            results,
        })
    }
}

/// Says which of several specs known times are taken to have been done with, where their tracks do not.
pub fn assume_spec(
    plan: &Plan,
    entries: &[Entry],
    test_day: &TestDay,
    (compared, fitted): (&[usize], Option<usize>),
    findings: &mut Findings,
) {
    let spec = compared
        .get(fitted.unwrap_or(0))
        .map(|&i| &test_day.specs[i]);
    let several = compared.len() > 1 && entries.len() == plan.wanted.len();
    let Some(spec) = spec.filter(|_| several) else {
        return;
    };
    let mut told: Vec<&Path> = Vec::new();
    for (entry, wanted) in entries.iter().zip(&plan.wanted) {
        let known = entry.course.known.as_ref();
        let track = wanted.track.path.as_path();
        if known.is_none_or(|known| known.spec.is_some()) || told.contains(&track) {
            continue;
        }
        told.push(track);
        let why = match fitted {
            Some(_) => "which is in the car",
            None => "the first of the specs",
        };
        let (key, venue) = (format!("known.{}", entry.course.name), &entry.course.name);
        let text = format!(
            "the known time at {venue} done with {}, {why} (no `spec` in its `known`)",
            spec.name
        );
        findings.push(wanted.track.place.assumed(&key, text));
    }
}

pub(super) fn said(item: &Item) -> Option<Said> {
    Some((item.text()?, Place::of(item)))
}

/// Which of the names is written, or a fault.
pub(super) fn among(
    written: &Said,
    what: &str,
    names: &[&str],
    findings: &mut Findings,
) -> Option<usize> {
    let (name, place) = written;
    let found = names.iter().position(|known| known == name);
    if found.is_none() {
        let known = || match names {
            [] => format!("the study has no {what}"),
            names => format!("the study has: {}", names.join(", ")),
        };
        let remedy = meant_by(name, names.iter().copied()).unwrap_or_else(known);
        findings.push(place.error(format!("there is no {what} {}", quoted(name)), remedy));
    }
    found
}

/// Leaves out of specs and options what is not tagged for the class of the study, and says so.
/// `None` where no spec is left, or no class is meant.
pub fn tagged(
    plan: &Plan,
    compared: Vec<usize>,
    test_day: &TestDay,
    car: &mut Car,
    findings: &mut Findings,
) -> Option<Vec<usize>> {
    let Some((class, place)) = &plan.season.allowed_in else {
        return Some(compared);
    };
    let mut out: Vec<String> = Vec::new();
    let (kept, dropped): (Vec<usize>, Vec<usize>) = compared
        .into_iter()
        .partition(|&i| test_day.specs[i].allowed_in.contains(class));
    out.extend(dropped.iter().map(|&i| test_day.specs[i].name.clone()));
    if kept.is_empty() {
        let text = format!("no spec of the study is tagged for {}", quoted(class));
        let remedy = format!("add `allowed_in: {class}` to those that its regulations allow");
        findings.push(place.error(text, remedy));
        return None;
    }
    keep(
        &mut car.final_drive_options,
        class,
        |d| &d.terms,
        final_drive,
        &mut out,
    );
    let gears = |g: &crate::car::Gearbox| g.name.clone().unwrap_or_default();
    keep(
        &mut car.gearbox_options,
        class,
        |g| &g.terms,
        gears,
        &mut out,
    );
    let more = &mut car.purchases;
    keep(
        &mut more.differentials,
        class,
        |d| &d.terms,
        |d| d.name.clone(),
        &mut out,
    );
    keep(
        &mut more.tyres,
        class,
        |t| &t.terms,
        |t| t.name.clone(),
        &mut out,
    );
    keep(
        &mut more.lighter,
        class,
        |l| &l.terms,
        |l| l.name.clone(),
        &mut out,
    );
    let limit = |l: &crate::car::offer::OfferedLimit| format!("limit of {:.0} rpm", l.rpm);
    keep(&mut more.rev_limits, class, |l| &l.terms, limit, &mut out);
    if !out.is_empty() {
        let text = format!("not tagged for {class} and left out: {}", out.join(", "));
        let remedy = "tag what the regulations allow; scrutineers decide";
        findings.push(place.warning(text, remedy));
    }
    Some(kept)
}

fn keep<T>(
    list: &mut Vec<T>,
    class: &str,
    terms: impl Fn(&T) -> &Terms,
    name: impl Fn(&T) -> String,
    out: &mut Vec<String>,
) {
    list.retain(|part| {
        let stays = terms(part).are_tagged(class);
        if !stays {
            out.push(name(part));
        }
        stays
    });
}

fn final_drive(drive: &FinalDrive) -> String {
    match drive.teeth {
        Some((pinion, wheel)) => format!("{pinion}/{wheel}"),
        None => format!("{:.2}", drive.ratio),
    }
}

/// All prices are in one currency.
pub fn check_currency(plan: &Plan, test_day: &TestDay, car: &Car, findings: &mut Findings) {
    let of_study = plan.season.currency.as_ref();
    let whole = Place::whole(&plan.path);
    let place = of_study.map_or(&whole, |(_, place)| place);
    let named = [
        of_study.map(|(currency, _)| ("the study", currency)),
        test_day.currency.as_ref().map(|c| ("the test day", c)),
        car.purchases.currency.as_ref().map(|c| ("the car", c)),
    ];
    let named: Vec<(&str, &String)> = named.into_iter().flatten().collect();
    if let Some(pair) = named.windows(2).find(|pair| pair[0].1 != pair[1].1) {
        let [(one, of_one), (other, of_other)] = [pair[0], pair[1]];
        let text = format!("two currencies: {one} counts in {of_one}, {other} in {of_other}");
        findings.push(place.error(text, "write every price in one currency"));
    }
}

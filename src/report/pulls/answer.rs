//! A test day for other programs.

use super::Sheet;
use super::at::at_speeds;
use super::next::{letters, unmeasured};
use super::shape::{
    AtSpeed, Body, Bounded, ChangeOf, Compared, Crossing, GainOf, GainPercent, Layout, Limiter,
    Missing, Next, Outlying, Part, Pull, RefitOff, Refitted, Return, Scatter, SetAside, Spec,
    ThinTop, Unlike, Unmeasured,
};
use super::words::{common_range, thirds_of};
use crate::dyno::{
    CONFIDENCE, Comparison, CrossoverInterval, Effect, Interval, Stretch, crossovers,
};
use crate::report::{csv as table, json as document};
use crate::units::{RPM_PER_RAD_PER_S, ZERO_CELSIUS};

/// The corrected mean curves with their bands, one row for each engine speed of each spec; of those that were asked
/// for alone where there are such.
pub fn csv(sheet: &Sheet) -> String {
    let header = [
        "spec",
        "rpm",
        "torque_nm",
        "torque_low_nm",
        "torque_high_nm",
        "power_kw",
        "pulls",
    ];
    let mut rows = Vec::new();
    for (i, spec) in sheet.reduced.specs.iter().enumerate() {
        let speeds: Vec<f64> = match sheet.at.is_empty() {
            true => spec.curve.points().map(|(rpm, _)| rpm).collect(),
            false => {
                let reach = spec.curve.first_rpm()..=spec.curve.last_rpm();
                sheet
                    .at
                    .iter()
                    .copied()
                    .filter(|rpm| reach.contains(rpm))
                    .collect()
            }
        };
        for rpm in speeds {
            let Interval {
                value: torque,
                low,
                high,
                ..
            } = sheet.reduced.torque(i, rpm);
            let reach = spec.pulls.iter().filter(|&&p| {
                let curve = &sheet.reduced.pulls[p].curve;
                curve.first_rpm() <= rpm && rpm <= curve.last_rpm()
            });
            rows.push(vec![
                spec.name.clone(),
                table::number(Some(rpm), 1),
                table::number(Some(torque), 3),
                table::number(Some(low), 3),
                table::number(Some(high), 3),
                table::number(Some(torque * rpm / RPM_PER_RAD_PER_S / 1e3), 3),
                reach.count().to_string(),
            ]);
        }
    }
    table::table(&header, rows)
}

/// The whole answer.
pub fn json(sheet: &Sheet) -> String {
    document::document("pulls", &body(sheet))
}

const METHOD: &str = "Student's t on a mixed model of fittings and pulls (REML with moderated \
                      variances), Satterthwaite's degrees of freedom, pointwise";

fn body<'a>(sheet: &'a Sheet) -> Body<'a> {
    let name = |spec: usize| sheet.name_of(spec);
    let specs = (0..sheet.reduced.specs.len()).map(|i| spec(sheet, i));
    let pulls = (0..sheet.reduced.pulls.len()).map(|i| pull(sheet, i));
    let returns = sheet.day.returns().into_iter().map(|(spec, after)| Return {
        spec: name(spec),
        after: after.into_iter().map(name).collect(),
    });
    let next = sheet.steps.iter().map(|step| Next {
        fit_again: step.refit.iter().map(|&s| name(s)).collect(),
        pulls: step.pulls,
        hours: step.hours,
        half_width_percent: 100.0 * step.half_width,
    });
    let unmeasured = unmeasured(sheet).into_iter().map(|(spec, of)| Unmeasured {
        spec: name(spec),
        from_rpm: of.from_rpm,
        to_rpm: of.to_rpm,
    });
    let at = at_speeds(sheet).into_iter().map(|one| AtSpeed {
        rpm: one.rpm,
        spec: name(one.spec),
        torque_nm: one.torque.map(|torque| Bounded::of(&torque, 1.0)),
        power_w: one.power(),
        gain_nm: one.gain.map(|gain| Bounded::of(&gain, 1.0)),
    });
    Body {
        name: sheet.name,
        standard: sheet.reduced.standard.name(),
        confidence: CONFIDENCE,
        method: METHOD,
        beside: name(sheet.beside),
        specs: specs.collect(),
        pulls: pulls.collect(),
        set_aside: set_aside(sheet),
        returns: returns.collect(),
        comparisons: sheet
            .comparisons
            .iter()
            .map(|c| compared(sheet, c))
            .collect(),
        at: at.collect(),
        scatter: scatter(sheet),
        parts: parts(sheet),
        spec_missing: sheet.attribution.missing.as_ref().map(|missing| Missing {
            like: name(missing.like),
            kind: &missing.change.0,
            part: &missing.change.1,
        }),
        outlying: outlying(sheet),
        thin_tops: thin_tops(sheet),
        limiters: limiters(sheet),
        refits_off: refits_off(sheet),
        unlike: unlike(sheet),
        unmeasured: unmeasured.collect(),
        next: next.collect(),
        layout: sheet.layout.as_ref().map(|(difference, layout)| Layout {
            difference_percent: 100.0 * difference,
            fittings: layout.order.len(),
            order: letters(&layout.order),
            pulls: layout.pulls,
            hours: layout.hours,
            shows_percent: 100.0 * layout.shows,
        }),
        findings: sheet.findings,
    }
}

/// Pulls that lie outside the others.
fn outlying<'a>(sheet: &'a Sheet) -> Vec<Outlying<'a>> {
    let name = |spec: usize| sheet.name_of(spec);
    let outlying = sheet.outlying.iter().map(|one| {
        let of = &sheet.reduced.pulls[one.pull];
        Outlying {
            pull: &of.name,
            spec: name(of.spec),
            from_rpm: one.stretch.map(|s| s.0),
            to_rpm: one.stretch.map(|s| s.1),
            off_percent: 100.0 * one.share(),
            usual_percent: 100.0 * one.usual,
            beside: one.beside,
            others_knock: one.is_beside_knock(sheet.day, sheet.reduced),
        }
    });
    outlying.collect()
}

/// The tops of curves that not all pulls reach.
fn thin_tops<'a>(sheet: &'a Sheet) -> Vec<ThinTop<'a>> {
    let name = |spec: usize| sheet.name_of(spec);
    let thin_tops = sheet.reduced.thin_tops().into_iter();
    let thin_tops = thin_tops.map(|top| ThinTop {
        spec: name(top.spec),
        above_rpm: top.above_rpm,
        pulls_that_reach: top.reach,
        pulls: top.pulls,
    });
    thin_tops.collect()
}

/// Specs that a limiter kept from being measured as far as others.
fn limiters<'a>(sheet: &'a Sheet) -> Vec<Limiter<'a>> {
    let name = |spec: usize| sheet.name_of(spec);
    let limiters = sheet.reduced.cut(sheet.day).into_iter();
    let limiters = limiters.map(|cut| Limiter {
        spec: name(cut.spec),
        cut_rpm: cut.at_rpm,
        last_rpm: cut.last_rpm,
        others_last_rpm: cut.others_rpm,
    });
    limiters.collect()
}

/// Fittings that read otherwise than before.
fn refits_off<'a>(sheet: &'a Sheet) -> Vec<RefitOff<'a>> {
    let name = |spec: usize| sheet.name_of(spec);
    let refits_off = sheet
        .reduced
        .refits_off()
        .into_iter()
        .map(|refit| RefitOff {
            spec: name(refit.spec),
            pulls: refit
                .pulls
                .iter()
                .map(|&p| sheet.reduced.pulls[p].name.as_str())
                .collect(),
            off_percent: 100.0 * refit.off.exp_m1(),
            usual_percent: 100.0 * refit.usual,
        });
    refits_off.collect()
}

/// Specs whose pulls were not made alike.
fn unlike<'a>(sheet: &'a Sheet) -> Vec<Unlike<'a>> {
    let name = |spec: usize| sheet.name_of(spec);
    let unlike = sheet.unlike.iter().map(|one| {
        let [first, second] = [one.means.0, one.means.1].map(|mean| channel(&one.channel, mean));
        Unlike {
            specs: [name(one.specs.0), name(one.specs.1)],
            means: [first.1, second.1],
            channel: first.0,
        }
    });
    unlike.collect()
}

fn spec<'a>(sheet: &'a Sheet, i: usize) -> Spec<'a> {
    let spec = &sheet.reduced.specs[i];
    let (torque, power) = (spec.curve.peak_torque(), spec.curve.peak_power());
    let points: Vec<(f64, Interval)> = spec
        .curve
        .points()
        .map(|(rpm, _)| (rpm, sheet.reduced.torque(i, rpm)))
        .collect();
    Spec {
        name: &spec.name,
        fittings: sheet.day.specs[i].fittings.len(),
        retuned: sheet.day.specs[i].retuned,
        peak_torque_nm: torque.value,
        peak_torque_rpm: torque.rpm,
        peak_power_w: power.value,
        peak_power_rpm: power.rpm,
        still_rising_at_end: spec.curve.still_rises(),
        peak_power_as_read_w: sheet.reduced.peak_as_read(i),
        mean_power_w: sheet.mean_power(i),
        mean_power_from_rpm: sheet.band.from_rpm,
        mean_power_to_rpm: sheet.band.to_rpm,
        day_shift_percent: 100.0 * spec.day_shift,
        rpm: points.iter().map(|p| p.0).collect(),
        torque_nm: points.iter().map(|p| p.1.value).collect(),
        torque_low_nm: points.iter().map(|p| p.1.low).collect(),
        torque_high_nm: points.iter().map(|p| p.1.high).collect(),
    }
}

fn pull<'a>(sheet: &'a Sheet, i: usize) -> Pull<'a> {
    let reduced = &sheet.reduced.pulls[i];
    let pull = &sheet.day.specs[reduced.spec].fittings[reduced.fitting].pulls[reduced.index];
    let handling = &pull.handling;
    let (rpm, torque_nm) = reduced.curve.points().unzip();
    Pull {
        name: &reduced.name,
        spec: sheet.name_of(reduced.spec),
        fitting: reduced.fitting + 1,
        first_after_change: reduced.first_after_change,
        hours: reduced.hours,
        factor: reduced.factor,
        pressure_pa: pull.air.map(|air| air.pressure),
        temperature_c: pull.air.map(|air| air.temperature - ZERO_CELSIUS),
        humidity: pull.air.map(|air| air.humidity),
        counts_from_rpm: handling.counts.map(|counts| counts.0),
        counts_up_to_rpm: handling.counts.map(|counts| counts.1),
        rows: handling.rows,
        rows_outside: handling.outside,
        rows_merged: handling.back_steps + handling.repeats,
        spikes: handling.spikes.len(),
        smoothed_within_rpm: handling.smoothed,
        channels: pull.channels.iter().map(|(n, v)| channel(n, *v)).collect(),
        rpm,
        torque_nm,
    }
}

/// A channel as other programs read it: its name with the unit, temperatures in °C, the air's pressure in Pa.
fn channel(name: &str, mean: f64) -> (String, f64) {
    let key = name.replace(' ', "_");
    match key.ends_with("temperature") {
        true => (key + "_c", mean - ZERO_CELSIUS),
        false if key == "ambient_pressure" => (key + "_pa", mean),
        false => (key, mean),
    }
}

fn set_aside<'a>(sheet: &'a Sheet) -> Vec<SetAside<'a>> {
    let pulls = sheet.day.specs.iter().flat_map(|spec| {
        let pulls = spec.fittings.iter().flat_map(|fitting| &fitting.pulls);
        pulls.map(move |pull| (spec, pull))
    });
    pulls
        .filter_map(|(spec, pull)| {
            Some(SetAside {
                pull: &pull.name,
                spec: &spec.name,
                why: pull.set_aside.as_deref()?,
            })
        })
        .collect()
}

fn compared<'a>(sheet: &'a Sheet, c: &Comparison) -> Compared<'a> {
    let gain = |gain: &crate::dyno::Gain| GainOf {
        from_rpm: gain.band.from_rpm,
        to_rpm: gain.band.to_rpm,
        torque_nm: Bounded::of(&gain.torque, 1.0),
    };
    let crossing = |one: &CrossoverInterval| Crossing {
        at_rpm: one.at_rpm.clone(),
        low_rpm: one.low,
        high_rpm: one.high,
        spec_leads_below: one.first_leads_below,
        resolved: one.is_resolved(),
    };
    Compared {
        spec: sheet.name_of(c.first),
        less: sheet.name_of(c.second),
        from_rpm: c.range.from_rpm,
        to_rpm: c.range.to_rpm,
        half_width_percent: 100.0 * c.half_width,
        half_width_of_pulls_alone_percent: sheet
            .reduced
            .pulls_alone(c.first, c.second)
            .map(|alone| 100.0 * alone.half_width(CONFIDENCE)),
        degrees_of_freedom: c.spread.df.is_finite().then_some(c.spread.df),
        crossovers: c.crossovers.iter().map(crossing).collect(),
        crossovers_without_first_pulls_rpm: sheet.without_first.map(|other| {
            let [a, b] = [c.first, c.second].map(|s| &other.specs[s].curve);
            crossovers(a, b).iter().map(|one| one.rpm).collect()
        }),
        unresolved_rpm: c
            .unresolved
            .iter()
            .map(|s| [s.from_rpm, s.to_rpm])
            .collect(),
        gains: c.gains.iter().map(gain).collect(),
        whole: gain(&c.whole),
    }
}

fn scatter(sheet: &Sheet) -> Scatter {
    let levels = &sheet.reduced.levels;
    let taken = &sheet.reduced.taken;
    Scatter {
        pull_percent: 100.0 * levels.variances.pull.sqrt(),
        measured_pull_percent: levels.pull_alone.map(|alone| 100.0 * alone.sqrt()),
        fitting_percent: 100.0 * levels.variances.fitting.sqrt(),
        wave_percent: 100.0 * sheet.reduced.wave.sd,
        measured_wave_percent: sheet.reduced.wave.alone.map(|alone| 100.0 * alone),
        wave_length_rpm: sheet.reduced.wave.length_rpm,
        first_pull_percent: 100.0 * levels.first_pull.0.exp_m1(),
        first_pull_error_percent: 100.0 * levels.first_pull.1,
        drift_percent_per_hour: 100.0 * levels.drift.0.exp_m1(),
        drift_error_percent_per_hour: 100.0 * levels.drift.1,
        trend_percent_per_hour: levels.trend.map(|trend| 100.0 * trend.per_hour.exp_m1()),
        refits: levels.refits,
        repeats: levels.repeats,
        taken_pull_percent: 100.0 * taken.pull,
        taken_fitting_percent: 100.0 * taken.fitting,
        refitted: (0..sheet.reduced.specs.len())
            .filter_map(|spec| {
                let anova = sheet.reduced.refits(spec)?;
                Some(Refitted {
                    spec: sheet.name_of(spec).to_owned(),
                    f: anova.f(),
                    p: anova.p(),
                    pull_percent: 100.0 * anova.within_variance().sqrt(),
                    fitting_percent: 100.0 * anova.between_variance().max(0.0).sqrt(),
                })
            })
            .collect(),
    }
}

fn parts<'a>(sheet: &'a Sheet) -> Vec<Part<'a>> {
    let range = common_range(sheet);
    let thirds = range.map(|range| thirds_of(range).to_vec());
    let bands = range.map(|range| range.bands());
    let gains = |effect: &Effect, bands: &Option<Vec<Stretch>>| -> Option<Vec<GainPercent>> {
        let gain = |band: &Stretch| {
            let gain = sheet.reduced.effect(effect, *band)?;
            Some(GainPercent {
                from_rpm: band.from_rpm,
                to_rpm: band.to_rpm,
                gain: Bounded::of(&gain, 100.0),
            })
        };
        bands.as_ref()?.iter().map(gain).collect()
    };
    let part = |effect: &'a Effect| Part {
        changes: effect
            .changes
            .iter()
            .map(|c| ChangeOf {
                kind: &c.kind,
                from: &c.from,
                to: &c.to,
            })
            .collect(),
        told_apart: effect.changes.len() == 1 && effect.contrast.is_some(),
        thirds_percent: gains(effect, &thirds),
        bands_percent: gains(effect, &bands),
    };
    sheet.attribution.effects.iter().map(part).collect()
}

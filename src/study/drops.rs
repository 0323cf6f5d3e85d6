//! What a change up does to the engine speed, for every gear set that is offered.

use super::Study;
use super::setup::Setup;
use crate::car::Gearbox;

/// One change up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// Gear that is left, counted from 0.
    pub from: usize,
    /// Engine speed at which it is left, rpm.
    pub at_rpm: f64,
    /// Engine speed in the next gear at the same road speed, rpm.
    pub to_rpm: f64,
}

/// The changes of a gear set when each gear is left at an engine speed, rpm.
pub fn drops(gears: &Gearbox, at_rpm: f64) -> Vec<Drop> {
    let pairs = gears.ratios.windows(2).enumerate();
    pairs
        .map(|(from, pair)| Drop {
            from,
            at_rpm,
            to_rpm: at_rpm * pair[1] / pair[0],
        })
        .collect()
}

/// Every gear set of a study with its changes at the driver's light, the fitted one first. Without a
/// light they are at the limit.
pub fn offered(study: &Study, limit_rpm: f64) -> Vec<(Setup, Vec<Drop>)> {
    let lights = study
        .entries
        .iter()
        .filter_map(|e| e.habits.shift_light_rpm);
    let light = lights.fold(f64::INFINITY, f64::min).min(limit_rpm);
    Setup::offered(&study.car)
        .into_iter()
        .filter(|setup| setup.final_drive.is_none())
        .map(|setup| (setup, drops(setup.gearbox(&study.car), light)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::tests::study;
    use super::*;

    /// 7,200 rpm in second of 1.94 is 7,200 · 1.36/1.94 = 5,047 rpm in third of 1.36.
    #[test]
    fn a_drop_is_the_step_of_the_ratios() {
        let mut study = study(Vec::new());
        study.car.gearbox.ratios = vec![2.94, 1.94, 1.36, 1.00];
        let found = offered(&study, 7200.0);
        assert_eq!(found[0].0, Setup::FITTED);
        let drops = &found[0].1;
        assert_eq!(drops.len(), 3);
        approx::assert_relative_eq!(drops[1].to_rpm, 5047.4, epsilon = 0.1);
    }
}

//! What gearing the car could carry: each final drive with each gear set.

use crate::car::{Car, FinalDrive, Gearbox};

/// A choice of gear set and final drive; `None` is the fitted one, otherwise an index into the
/// car's options.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Setup {
    /// The gear set.
    pub gearbox: Option<usize>,
    /// The final drive.
    pub final_drive: Option<usize>,
}

impl Setup {
    /// As the car stands.
    pub const FITTED: Self = Self {
        gearbox: None,
        final_drive: None,
    };

    /// Every combination of what the car has and could be given, the fitted one first. An option
    /// that repeats what is fitted is no option.
    pub fn offered(car: &Car) -> Vec<Self> {
        let boxes = car.gearbox_options.iter().enumerate().filter(|(_, g)| {
            g.ratios != car.gearbox.ratios || g.shift_times != car.gearbox.shift_times
        });
        let drives = car
            .final_drive_options
            .iter()
            .enumerate()
            .filter(|(_, f)| (f.ratio / car.final_drive.ratio - 1.0).abs() > 1e-9);
        let boxes: Vec<_> = std::iter::once(None)
            .chain(boxes.map(|(i, _)| Some(i)))
            .collect();
        let drives: Vec<_> = std::iter::once(None)
            .chain(drives.map(|(i, _)| Some(i)))
            .collect();
        boxes
            .iter()
            .flat_map(|&gearbox| {
                drives.iter().map(move |&final_drive| Self {
                    gearbox,
                    final_drive,
                })
            })
            .collect()
    }

    /// The gears.
    pub fn gearbox(self, car: &Car) -> &Gearbox {
        self.gearbox
            .map_or(&car.gearbox, |i| &car.gearbox_options[i])
    }

    /// The final drive.
    pub fn final_drive(self, car: &Car) -> &FinalDrive {
        self.final_drive
            .map_or(&car.final_drive, |i| &car.final_drive_options[i])
    }

    /// What the parts that are not fitted yet add to the car, kg.
    pub fn extra_mass(self, car: &Car) -> f64 {
        let gearbox = self.gearbox.and_then(|i| car.gearbox_options[i].terms.mass);
        let final_drive = self
            .final_drive
            .and_then(|i| car.final_drive_options[i].terms.mass);
        gearbox.unwrap_or(0.0) + final_drive.unwrap_or(0.0)
    }
}

//! What gearing the car could carry: each final drive with each gear set, and with tyres of another
//! size.

use crate::car::{Car, FinalDrive, Gearbox, Trim};

/// A choice of gear set, final drive and tyres; `None` is the fitted one, otherwise an index into the
/// car's options.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Setup {
    /// The gear set.
    pub gearbox: Option<usize>,
    /// The final drive.
    pub final_drive: Option<usize>,
    /// Tyres, in the trims that they are for.
    pub tyre: Option<usize>,
}

impl Setup {
    /// As the car stands.
    pub const FITTED: Self = Self {
        gearbox: None,
        final_drive: None,
        tyre: None,
    };

    /// Every combination of gear sets and final drives that the car has and could be given, the fitted one first. An option
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
                    tyre: None,
                })
            })
            .collect()
    }

    /// The same on the car's own tyres, then on each that is offered and differs in size alone.
    pub fn offered_on_tyres(car: &Car) -> Vec<Self> {
        let alike = car.purchases.tyres.iter().enumerate();
        let alike = alike.filter(|(_, tyre)| tyre.same_grip).map(|(i, _)| i);
        let own = Self::offered(car);
        let on = |tyre: Option<usize>| own.iter().map(move |&setup| Self { tyre, ..setup });
        std::iter::once(None)
            .chain(alike.map(Some))
            .flat_map(on)
            .collect()
    }

    /// Whether its tyres are for a trim, given by its index; the car's own are.
    pub fn is_for(self, car: &Car, trim: usize) -> bool {
        let other = |i: usize| car.purchases.tyres[i].trims[trim].is_some();
        self.tyre.is_none_or(other)
    }

    /// A trim of the car, given by its index, on these tyres where they are for it.
    pub fn trim(self, car: &Car, trim: usize) -> &Trim {
        let other = self
            .tyre
            .and_then(|i| car.purchases.tyres[i].trims[trim].as_ref());
        other.unwrap_or(&car.trims[trim])
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

    /// What the parts that are not fitted yet add to the car, kg, tyres where they are for the trim.
    pub fn extra_mass(self, car: &Car, trim: usize) -> f64 {
        let tyre = self.tyre.filter(|_| self.is_for(car, trim));
        let tyre = tyre.and_then(|i| car.purchases.tyres[i].terms.mass);
        let gearbox = self.gearbox.and_then(|i| car.gearbox_options[i].terms.mass);
        let final_drive = self
            .final_drive
            .and_then(|i| car.final_drive_options[i].terms.mass);
        gearbox.unwrap_or(0.0) + final_drive.unwrap_or(0.0) + tyre.unwrap_or(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::car;
    use super::*;
    use crate::car::offer::{OfferedTyre, Terms};

    #[test]
    fn tyres_are_offered_with_every_gearing_where_they_differ_in_size_alone() {
        let mut car = car();
        let mut small = car.trims[0].clone();
        small.rolling_radius = 0.25;
        let tyre = |same_grip, trim: Option<Trim>| OfferedTyre {
            name: "others".into(),
            trims: vec![trim],
            same_grip,
            terms: Terms {
                mass: Some(3.0),
                ..Terms::default()
            },
        };
        car.purchases.tyres = vec![
            tyre(false, Some(small.clone())),
            tyre(true, Some(small)),
            tyre(true, None),
        ];
        let (own, all) = (Setup::offered(&car), Setup::offered_on_tyres(&car));
        assert_eq!(all.len(), 3 * own.len());
        assert_eq!(all[..own.len()], own);
        let on = all[own.len()];
        assert_eq!((on.tyre, on.gearbox, on.final_drive), (Some(1), None, None));
        assert_eq!(on.trim(&car, 0).rolling_radius, 0.25);
        assert_eq!(on.extra_mass(&car, 0), 3.0);
        // Tyres for another trim leave this one as it is.
        let other = all[2 * own.len()];
        assert!(on.is_for(&car, 0) && !other.is_for(&car, 0));
        assert_eq!(other.trim(&car, 0), &car.trims[0]);
        assert_eq!(other.extra_mass(&car, 0), 0.0);
    }
}

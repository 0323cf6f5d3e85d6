//! A seeded sample of cars on roads that people could drive: every layout, 1–7 gears, changes of
//! 0.05–0.5 s, five surfaces from dry tarmac to ice, slopes, hairpins, corners that open, crests.

use pullrank::car::{Car, Differential, Drive, FirstGear, Habits, Rotating};
use pullrank::dyno::Curve;
use pullrank::lap::Variant;
use pullrank::units::RPM_PER_RAD_PER_S;
use pullrank::venue::{Bend, Course, EventKind, Extent, Section, Surface};

use super::cars::{gearbox, point_mass};

/// Surfaces with their grip and rolling resistance.
const SURFACES: [(&str, f64, f64); 5] = [
    ("dry tarmac", 1.05, 0.014),
    ("wet tarmac", 0.75, 0.016),
    ("gravel", 0.56, 0.030),
    ("snow", 0.30, 0.035),
    ("ice", 0.13, 0.015),
];

/// A number by multiplication modulo 2⁶⁴ (Knuth's MMIX constants, from memory): the same on every
/// machine.
struct Dice(u64);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn below(&mut self, count: usize) -> usize {
        (self.between(0.0, count as f64) as usize).min(count - 1)
    }

    fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }
}

/// Who drives what where.
#[derive(Debug, Clone)]
pub struct Case {
    pub car: Car,
    pub curve: Curve,
    pub habits: Habits,
    pub course: Course,
    /// In a few words.
    pub about: String,
}

impl Case {
    pub fn variant(&self) -> Variant<'_> {
        Variant::fitted(&self.car, &self.car.trims[0], self.habits, &self.curve, 1.2)
    }
}

/// Case number `seed` of the sample.
pub fn case(seed: u64) -> Case {
    let mut dice = Dice(seed);
    // Neighbouring seeds part only after some throws.
    for _ in 0..20 {
        dice.between(0.0, 1.0);
    }
    let surface = dice.below(SURFACES.len());
    let car = car(&mut dice, SURFACES[surface].1);
    let curve = curve(&mut dice, car.rev_limit_rpm);
    let habits = Habits {
        corner_share: dice.between(0.85, 1.0),
        brake_share: dice.between(0.7, 0.95),
        lowest_rpm: if dice.chance(0.3) {
            0.0
        } else {
            dice.between(0.3, 0.5) * car.rev_limit_rpm
        },
        shift_light_rpm: None,
    };
    let course = course(&mut dice, surface);
    let about = format!(
        "{:?} {} gears {:.2} s {} {:?}",
        car.drive,
        car.gearbox.ratios.len(),
        car.gearbox.shift_times.first().unwrap_or(&0.0),
        SURFACES[surface].0,
        course.kind
    );
    Case {
        car,
        curve,
        habits,
        course,
        about,
    }
}

fn car(dice: &mut Dice, grip: f64) -> Car {
    let mut car = point_mass(dice.between(650.0, 1600.0), grip * dice.between(0.92, 1.08));
    car.drive = [Drive::Rear, Drive::Front, Drive::All][dice.below(3)];
    let gears = 1 + dice.below(7);
    let (first, top) = (dice.between(2.6, 3.8), dice.between(0.8, 1.1));
    let ratios: Vec<f64> = (0..gears)
        .map(|k| {
            let share = k as f64 / (gears.max(2) - 1) as f64;
            first * (top / first).powf(share.powf(0.8))
        })
        .collect();
    car.gearbox = gearbox(&ratios, dice.between(0.05, 0.5));
    car.gearbox.efficiency = vec![dice.between(0.85, 0.97)];
    if dice.chance(0.5) && gears > 2 {
        car.gearbox.first_gear = FirstGear::StartOnly;
    }
    car.rev_limit_rpm = dice.between(5500.0, 9000.0);
    car.trims[0].rolling_radius = dice.between(0.25, 0.32);
    // What the top gear, or the only one, can reach, m/s.
    let reach = match gears {
        1 => dice.between(25.0, 45.0),
        _ => dice.between(42.0, 70.0),
    };
    let turn = reach / car.trims[0].rolling_radius * RPM_PER_RAD_PER_S * ratios[gears - 1];
    car.final_drive.ratio = car.rev_limit_rpm / turn;
    car.default_launch_rpm = dice.between(0.5, 0.7) * car.rev_limit_rpm;
    car.front_share = match car.drive {
        Drive::Rear => dice.between(0.40, 0.54),
        Drive::Front => dice.between(0.56, 0.66),
        Drive::All => dice.between(0.48, 0.60),
    };
    car.cg_height = dice.between(0.35, 0.6);
    car.drag_area = dice.between(0.4, 0.9);
    car.lift_area = if dice.chance(0.3) {
        dice.between(0.0, 2.0)
    } else {
        0.0
    };
    if dice.chance(0.5) {
        car.differential = Differential::Bias(dice.between(1.0, 3.5));
    }
    car.rotating = Rotating::Inertias {
        engine: dice.between(0.05, 0.25),
        wheels: dice.between(2.5, 5.0),
        gearbox: vec![0.0],
        shaft: 0.0,
    };
    car
}

/// A bump of torque with a peak and a shoulder, points 500 rpm apart.
fn curve(dice: &mut Dice, limit: f64) -> Curve {
    let (peak, top) = (dice.between(100.0, 320.0), dice.between(0.5, 0.8) * limit);
    let (fall, wave) = (dice.between(0.6, 1.4), dice.between(0.0, 0.04));
    let phase = dice.between(0.0, 6.3);
    let rpm: Vec<f64> = (3..=19).map(|i| 500.0 * f64::from(i)).collect();
    let torque = rpm.iter().map(|n| {
        let away = (n - top) / limit;
        peak * (1.0 - fall * away * away + wave * (phase + n / 500.0).sin())
    });
    Curve::new(rpm.clone(), torque.collect()).expect("rising speeds")
}

fn course(dice: &mut Dice, surface: usize) -> Course {
    let kinds = [
        EventKind::Stage,
        EventKind::Circuit,
        EventKind::Hillclimb,
        EventKind::Sprint,
    ];
    let mut course = Course::new("sample", kinds[dice.below(4)]);
    let (name, _, rolling) = SURFACES[surface];
    let named = |name: &str, factor| Surface {
        name: name.to_owned(),
        like: "tarmac".to_owned(),
        factor,
        rolling: Some(rolling),
        state: 1.0,
    };
    course.surfaces = vec![named(name, 1.0), named("patch", 0.7)];
    let slopes = match (course.kind, surface) {
        (EventKind::Circuit, _) => 0.0,
        (_, 4) => 0.02,
        (_, 3) => 0.05,
        _ => 0.10,
    };
    let hairpins = 1 + dice.below(3);
    let count = hairpins + 4 + dice.below(8);
    for i in 0..count {
        let mut straight = piece(dice.between(30.0, 320.0), Bend::Straight);
        if dice.chance(0.15) {
            straight.cap = Some(dice.between(15.0, 35.0));
        }
        let radius = if i * hairpins % count < hairpins {
            dice.between(7.0, 12.0)
        } else {
            dice.between(15.0, 220.0)
        };
        let turn = (dice.between(500.0, 3500.0) / radius).clamp(15.0, 170.0);
        corner(dice, &mut course.sections, straight, radius, turn);
        if dice.chance(0.1)
            && let Some(last) = course.sections.last_mut()
        {
            last.surface = 1;
        }
    }
    course
        .sections
        .push(piece(dice.between(20.0, 150.0), Bend::Straight));
    for section in &mut course.sections {
        section.slope = dice.between(-slopes, slopes);
    }
    course
}

fn piece(length: f64, bend: Bend) -> Section {
    Section {
        extent: Extent::Length(length),
        bend,
        ..Section::default()
    }
}

/// A straight and a corner of a radius, m, and a turn in degrees; some open over the last third.
fn corner(dice: &mut Dice, out: &mut Vec<Section>, straight: Section, radius: f64, turn: f64) {
    out.push(straight);
    let length = radius * turn.to_radians();
    let bend = |radius: f64| Bend::Radius {
        curvature: 1.0 / radius,
    };
    if dice.chance(0.3) {
        out.push(piece(length * 2.0 / 3.0, bend(radius)));
        out.push(piece(length / 2.0, bend(radius * dice.between(1.3, 2.0))));
    } else {
        out.push(piece(length, bend(radius)));
    }
}

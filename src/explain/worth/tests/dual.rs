//! Dual numbers: a value and its derivative, carried through the same formulas.

use std::ops::{Add, Div, Mul, Neg, Sub};

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dual {
    pub re: f64,
    pub du: f64,
}

/// A value that does not move.
pub fn still(re: f64) -> Dual {
    Dual { re, du: 0.0 }
}

impl Dual {
    pub fn sqrt(self) -> Self {
        let re = self.re.max(0.0).sqrt();
        let du = if re > 0.0 { 0.5 * self.du / re } else { 0.0 };
        Self { re, du }
    }

    pub fn min(self, other: Self) -> Self {
        if other.re < self.re { other } else { self }
    }

    pub fn max(self, other: Self) -> Self {
        if other.re > self.re { other } else { self }
    }
}

impl Add for Dual {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            re: self.re + other.re,
            du: self.du + other.du,
        }
    }
}

impl Sub for Dual {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Dual {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            re: -self.re,
            du: -self.du,
        }
    }
}

impl Mul for Dual {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            re: self.re * other.re,
            du: self.re * other.du + self.du * other.re,
        }
    }
}

impl Div for Dual {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let re = self.re / other.re;
        Self {
            re,
            du: (self.du - re * other.du) / other.re,
        }
    }
}

impl Mul<Dual> for f64 {
    type Output = Dual;
    fn mul(self, other: Dual) -> Dual {
        still(self) * other
    }
}

impl Add<f64> for Dual {
    type Output = Self;
    fn add(self, other: f64) -> Self {
        self + still(other)
    }
}

impl Sub<Dual> for f64 {
    type Output = Dual;
    fn sub(self, other: Dual) -> Dual {
        still(self) - other
    }
}

impl Add<Dual> for f64 {
    type Output = Dual;
    fn add(self, other: Dual) -> Dual {
        still(self) + other
    }
}

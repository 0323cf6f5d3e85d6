//! What changes to the car are worth at one venue, in words.

use super::{Answer, Venue};
use crate::report::format::{capital, decimal, decimals, signed, thousands, wrap};
use crate::report::table::{Grid, Side};
use crate::study::trade_offs::Change;
use crate::study::{TradeOff, TradeOffs};

/// Name of a change in JSON and CSV.
pub fn name(change: Change) -> &'static str {
    match change {
        Change::Mass => "mass",
        Change::Torque => "torque",
        Change::Grip => "grip",
        Change::DragArea => "drag_area",
        Change::FinalDrive => "final_drive",
        Change::Tooth => "crown_wheel_teeth",
        Change::ShiftTime => "shift_time",
        Change::Limit => "rev_limit",
        Change::Early => "shift_up_earlier",
    }
}

/// Unit of its step.
pub fn unit(change: Change) -> &'static str {
    match change {
        Change::Mass => "kg",
        Change::Torque | Change::Grip | Change::FinalDrive => "fraction",
        Change::DragArea => "m2",
        Change::Tooth => "teeth",
        Change::ShiftTime => "s",
        Change::Limit | Change::Early => "rpm",
    }
}

fn words(change: Change) -> &'static str {
    match change {
        Change::Mass => "10 kg of mass",
        Change::Torque => "1 % of torque",
        Change::Grip => "1 % of grip",
        Change::DragArea => "0.01 m² of drag area",
        Change::FinalDrive => "1 % of final drive, more is shorter",
        Change::Tooth => "a tooth of the crown wheel, more is shorter",
        Change::ShiftTime => "0.05 s of each shift",
        Change::Limit => "100 rpm of limit and shift light",
        Change::Early => "shifting up 500 rpm earlier",
    }
}

/// The changes that exist, each with what less and more of it are worth, s.
pub fn rows(venue: &Venue) -> Vec<[String; 3]> {
    let Some(found) = venue.trade_offs else {
        return Vec::new();
    };
    let places = decimals(venue.entry.course.kind) + 1;
    let side = |value: Option<f64>| value.map_or(String::new(), |value| signed(value, places));
    let shown = |trade: &&TradeOff| trade.less.is_some() || trade.more.is_some();
    let trades = found.list.iter().filter(shown);
    trades
        .map(|trade| {
            let early = trade.change == Change::Early;
            let less = if early { None } else { trade.less };
            let more = if early { trade.less } else { trade.more };
            [words(trade.change).to_owned(), side(less), side(more)]
        })
        .collect()
}

/// What to know of them.
pub fn note(answer: &Answer, found: &TradeOffs) -> String {
    let pistons = piston_speed(found).map_or(String::new(), |text| format!(" {text}"));
    format!(
        "{}, every line with its own best use of gears. The limit is the engine builder's to set: \
         these seconds are no advice to raise it.{pistons}",
        capital(answer.name(found.spec))
    )
}

/// Mean piston speed at the limit and with more of it: what wears and breaks.
fn piston_speed(found: &TradeOffs) -> Option<String> {
    let per = found.piston_speed_per_rpm?;
    let more = found.limit_rpm + Change::Limit.step();
    Some(format!(
        "The pistons' mean speed is {} m/s at {}, {} m/s at {} rpm.",
        decimal(per * found.limit_rpm, 1),
        thousands(found.limit_rpm),
        decimal(per * more, 1),
        thousands(more)
    ))
}

/// The table of a venue; nothing where its quickest spec was not worked out.
pub fn table(answer: &Answer, venue: &Venue) -> String {
    let Some(found) = venue.trade_offs else {
        return String::new();
    };
    let mut grid = Grid::new(&[
        ("what a change is worth, s", Side::Left),
        ("less", Side::Right),
        ("more", Side::Right),
    ]);
    for row in rows(venue) {
        grid.row(&row);
    }
    format!("{}{}", grid.text(0), wrap(&note(answer, found), "  "))
}

/// The tables of all venues.
pub fn all(answer: &Answer) -> String {
    let of = |venue: Venue| {
        let table = table(answer, &venue);
        (!table.is_empty()).then(|| format!("{}\n{table}", venue.name()))
    };
    answer
        .venues()
        .filter_map(of)
        .collect::<Vec<_>>()
        .join("\n")
}

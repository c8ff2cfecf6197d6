//! How an exercise is set up, as a drawing: from above or from the side, to one scale, with its sizes from the settings. Words come
//! in the reader's language.

use crate::domain::curriculum::{CurriculumDraft, Setup, Unit};
use crate::domain::riding::{Ground, MPH, RidingRule, braking, percent};
use crate::domain::words::Lang;
use crate::language::{self, Value};

/// The width of every drawing, in its own units.
const WIDTH: i64 = 600;
/// Free at each side.
const EDGE: i64 = 44;
/// What is left for the exercise.
const ROOM: f64 = 512.0;

/// A part of a drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shape {
    /// A cone, by its foot.
    Cone(i64, i64),
    /// A line on the ground: from and to.
    Ground(i64, i64, i64, i64),
    /// The way that is ridden, as the data of a path.
    Way(String),
    /// A thing in the way: left, top, width, height.
    Thing(i64, i64, i64, i64),
    /// A machine from above: its middle.
    Machine(i64, i64),
    /// A size with its ends: from and to, and where its words stand.
    Size(i64, i64, i64, i64),
    /// Words whose middle is here.
    Words(i64, i64, String),
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// What it shows, in a few words.
    pub title: String,
    /// The same for those who do not see it, with every size.
    pub told: String,
    /// Its height, in its own units.
    pub height: i64,
    /// Its parts.
    pub shapes: Vec<Shape>,
}

/// Draws with the figures of a curriculum.
struct Desk<'a> {
    curriculum: &'a CurriculumDraft,
    riding: &'a RidingRule,
    lang: Lang,
}

/// The drawing of a setup.
#[must_use]
pub fn drawing(setup: Setup, curriculum: &CurriculumDraft, riding: &RidingRule, lang: Lang) -> Drawing {
    let desk = Desk { curriculum, riding, lang };
    match setup {
        Setup::Lane => desk.lane(),
        Setup::StopMark => desk.stop_mark(),
        Setup::Circle => desk.circle(),
        Setup::Eight => desk.eight(),
        Setup::Weave => desk.weave(),
        Setup::HardStop => desk.hard_stop(),
        Setup::Obstacle => desk.obstacle(),
        Setup::Slope => desk.slope(),
        Setup::Bump => desk.bump(),
        Setup::Group => desk.group(),
    }
}

fn px(value: f64) -> i64 {
    // A drawing of 600 units never leaves the whole numbers of a screen.
    value.round() as i64
}

impl Desk<'_> {
    /// A figure in metres.
    fn metres(&self, name: &str) -> f64 {
        self.curriculum.figure(name) as f64 / 1e6
    }

    /// A figure as people read it.
    fn figure(&self, name: &str) -> String {
        Unit::of_name(name).map(|unit| unit.words(self.curriculum.figure(name), self.lang)).unwrap_or_default()
    }

    fn say(&self, key: &str, values: &[(&str, String)]) -> String {
        let values: Vec<(&str, Value<'_>)> = values.iter().map(|(name, value)| (*name, value.clone().into())).collect();
        language::say(self.lang, &format!("setup-{key}"), &values)
    }

    fn drawn(&self, key: &str, height: i64, shapes: Vec<Shape>, values: &[(&str, String)]) -> Drawing {
        Drawing { title: self.say(key, values), told: self.say(&format!("{key}-told"), values), height, shapes }
    }

    /// The gate of two cones, ridden through at a speed.
    fn gate(&self, x: i64, y: i64, shapes: &mut Vec<Shape>) {
        shapes.extend([Shape::Cone(x, y - 26), Shape::Cone(x, y + 34)]);
        let speed = self.say("gate", &[("speed", self.figure("gate_speed_mph"))]);
        shapes.push(Shape::Words(x.max(EDGE + 70), y - 62, speed));
    }

    fn lane(&self) -> Drawing {
        let (length, width) = (self.metres("lane_length_um"), self.metres("lane_width_um"));
        let scale = (ROOM - 90.0) / length;
        let (left, right, wide) = (EDGE, EDGE + px(length * scale), px(width * scale).max(24));
        let top = 40;
        let mut shapes = vec![
            Shape::Ground(left, top, right, top),
            Shape::Ground(left, top + wide, right, top + wide),
            Shape::Way(format!("M{left} {y}H{right}", y = top + wide / 2)),
        ];
        for step in 0..=5 {
            let x = left + (right - left) * step / 5;
            shapes.extend([Shape::Cone(x, top), Shape::Cone(x, top + wide)]);
        }
        let (long, across) = (self.figure("lane_length_um"), self.figure("lane_width_um"));
        let below = top + wide + 34;
        shapes.extend([
            Shape::Size(left, below, right, below),
            Shape::Words((left + right) / 2, below + 24, long.clone()),
            Shape::Size(right + 18, top, right + 18, top + wide),
            Shape::Words(right + 18, top - 14, across.clone()),
        ]);
        self.drawn("lane", below + 40, shapes, &[("length", long), ("width", across)])
    }

    fn stop_mark(&self) -> Drawing {
        let (distance, near) = (self.metres("stop_mark_distance_um"), self.metres("stop_mark_tolerance_um"));
        let lead = distance * 0.6;
        let scale = ROOM / (lead + distance + near + 1.0);
        let (gate, mark, y) = (EDGE + px(lead * scale), EDGE + px((lead + distance) * scale), 110);
        let band = px(near * scale).max(6);
        let mut shapes = vec![
            Shape::Way(format!("M{EDGE} {y}H{mark}")),
            Shape::Ground(mark, y - 44, mark, y + 44),
            Shape::Ground(mark - band, y - 30, mark - band, y + 30),
            Shape::Ground(mark + band, y - 30, mark + band, y + 30),
            Shape::Size(gate, y + 66, mark, y + 66),
        ];
        self.gate(gate, y, &mut shapes);
        let (far, within) = (self.figure("stop_mark_distance_um"), self.figure("stop_mark_tolerance_um"));
        shapes.push(Shape::Words((gate + mark) / 2, y + 92, far.clone()));
        shapes.push(Shape::Words(mark - 40, y - 56, self.say("within", &[("near", within.clone())])));
        let speed = self.figure("gate_speed_mph");
        self.drawn("stop-mark", y + 108, shapes, &[("distance", far), ("near", within), ("speed", speed)])
    }

    fn circle(&self) -> Drawing {
        let (big, small) = (self.metres("circle_diameter_um"), self.metres("small_circle_diameter_um"));
        let scale = 300.0 / big.max(small);
        let (cx, cy) = (230, 180);
        let mut shapes = Vec::new();
        for (across, name) in [(big, "circle_diameter_um"), (small, "small_circle_diameter_um")] {
            let r = across * scale / 2.0;
            for step in 0..8 {
                let turn = f64::from(step) * std::f64::consts::FRAC_PI_4;
                shapes.push(Shape::Cone(cx + px(r * turn.cos()), cy + px(r * turn.sin())));
            }
            let down = if name == "circle_diameter_um" { 40 } else { -30 };
            shapes.push(Shape::Size(cx - px(r), cy + down, cx + px(r), cy + down));
            shapes.push(Shape::Words(cx, cy + down - 10, self.figure(name)));
        }
        let outer = px(big * scale / 2.0) + 18;
        shapes.push(Shape::Way(arc(cx, cy, outer)));
        let values = [("big", self.figure("circle_diameter_um")), ("small", self.figure("small_circle_diameter_um"))];
        self.drawn("circle", 372, shapes, &values)
    }

    fn eight(&self) -> Drawing {
        let r = px(ROOM / 4.0 - 14.0);
        let (left, right, cy) = (EDGE + r + 14, EDGE + 3 * r + 14, 40 + r);
        let mut shapes = Vec::new();
        for cx in [left, right] {
            for step in 0..8 {
                let turn = f64::from(step) * std::f64::consts::FRAC_PI_4;
                shapes.push(Shape::Cone(cx + px(r as f64 * 0.8 * turn.cos()), cy + px(r as f64 * 0.8 * turn.sin())));
            }
        }
        let middle = (left + right) / 2;
        let (top, bottom) = (cy - r, cy + r);
        shapes.push(Shape::Way(format!(
            "M{middle} {cy}C{} {top} {} {top} {} {cy}S{} {bottom} {middle} {cy}C{} {top} {} {top} {} {cy}S{} {bottom} {middle} {cy}",
            middle + r / 2, right + r, right + r, right, middle - r / 2, left - r, left - r, left
        )));
        shapes.push(Shape::Size(left - px(r as f64 * 0.8), bottom + 26, left + px(r as f64 * 0.8), bottom + 26));
        let words = self.figure("small_circle_diameter_um");
        shapes.push(Shape::Words(left, bottom + 50, words.clone()));
        let values = [("across", words), ("rounds", self.figure("eight_rounds_count"))];
        self.drawn("eight", bottom + 66, shapes, &values)
    }

    fn weave(&self) -> Drawing {
        let cones = self.curriculum.figure("weave_cones_least_count").clamp(2, 9);
        let step = px(ROOM / (cones as f64 + 1.0));
        let y = 70;
        let mut shapes: Vec<Shape> = (1..=cones).map(|nth| Shape::Cone(EDGE + step * nth, y)).collect();
        let mut way = format!("M{} {y}", EDGE + step / 2);
        for nth in 1..=cones {
            let side = if nth % 2 == 1 { -44 } else { 44 };
            way.push_str(&format!("Q{} {} {} {y}", EDGE + step * nth, y + side * 2, EDGE + step * nth + step / 2));
        }
        shapes.push(Shape::Way(way));
        let (first, second) = (EDGE + step, EDGE + step * 2);
        shapes.push(Shape::Size(first, y + 66, second, y + 66));
        let (gap, close) = (self.figure("weave_gap_um"), self.figure("weave_close_gap_um"));
        let words = self.say("weave-gap", &[("gap", gap.clone()), ("close", close.clone())]);
        shapes.push(Shape::Words(WIDTH / 2, y + 92, words));
        let values = [("gap", gap), ("close", close), ("cones", cones.to_string())];
        self.drawn("weave", y + 108, shapes, &values)
    }

    /// The distance of a hard stop on packed dirt in metres, with the factor that the rider is given.
    fn hard_distance(&self) -> f64 {
        let speed = self.curriculum.figure("gate_speed_mph") as f64 * MPH;
        let factor = self.curriculum.figure("hard_stop_permille") as f64 / 1000.0;
        braking(speed, self.riding.grip(Ground::PackedDirt), 0.0).unwrap_or_default() * factor
    }

    fn hard_stop(&self) -> Drawing {
        let distance = self.hard_distance();
        let lead = distance * 0.8;
        let scale = ROOM / (lead + distance + distance * 0.2);
        let (gate, end, y) = (EDGE + px(lead * scale), EDGE + px((lead + distance) * scale), 110);
        let mut shapes = vec![
            Shape::Way(format!("M{EDGE} {y}H{end}")),
            Shape::Ground(end, y - 44, end, y + 44),
            Shape::Size(gate, y + 66, end, y + 66),
        ];
        self.gate(gate, y, &mut shapes);
        let far = Unit::Micrometres.words(px(distance * 1e6), self.lang);
        shapes.push(Shape::Words((gate + end) / 2, y + 92, far.clone()));
        let values = [
            ("distance", far),
            ("speed", self.figure("gate_speed_mph")),
            ("factor", self.figure("hard_stop_permille")),
            ("grip", format!("{}", self.riding.grip(Ground::PackedDirt))),
        ];
        self.drawn("hard-stop", y + 108, shapes, &values)
    }

    fn obstacle(&self) -> Drawing {
        let (distance, width) = (self.metres("obstacle_distance_um"), self.metres("obstacle_width_um"));
        let scale = ROOM / (distance * 2.3);
        let (gate, at, y) = (EDGE + px(distance * 0.4 * scale), EDGE + px(distance * 1.4 * scale), 130);
        let half = px(width * scale / 2.0).max(18);
        let end = WIDTH - EDGE;
        let over = y - half - 34;
        let mut shapes = vec![
            Shape::Thing(at, y - half, 26, half * 2),
            Shape::Way(format!(
                "M{EDGE} {y}H{gate}C{} {y} {} {over} {} {over}C{} {over} {} {y} {end} {y}",
                (gate + at) / 2,
                (gate + at) / 2,
                at + 13,
                (at + end) / 2,
                (at + end) / 2
            )),
            Shape::Size(gate, y + half + 40, at, y + half + 40),
            Shape::Size(at + 44, y - half, at + 44, y + half),
        ];
        self.gate(gate, y, &mut shapes);
        let (far, across) = (self.figure("obstacle_distance_um"), self.figure("obstacle_width_um"));
        shapes.push(Shape::Words((gate + at) / 2, y + half + 64, far.clone()));
        shapes.push(Shape::Words(at + 100, y + half + 18, across.clone()));
        let speed = self.figure("gate_speed_mph");
        self.drawn("obstacle", y + half + 82, shapes, &[("distance", far), ("width", across), ("speed", speed)])
    }

    fn slope(&self) -> Drawing {
        let most = self.curriculum.figure("slope_most_tenth_deg") as f64 / 10.0;
        let first = self.curriculum.figure("slope_first_tenth_deg") as f64 / 10.0;
        let (left, right, base) = (EDGE, WIDTH - EDGE - 60, 190);
        let run = (right - left) as f64;
        let rise = |slope: f64| px(run * slope.to_radians().tan());
        let mut shapes = vec![Shape::Ground(left, base, right, base)];
        for (slope, name) in [(most, "slope_most_tenth_deg"), (first, "slope_first_tenth_deg")] {
            let top = base - rise(slope);
            shapes.push(Shape::Ground(left, base, right, top));
            let words = format!("{} ({} %)", self.figure(name), px(percent(slope)));
            shapes.push(Shape::Words(right - 40, top - 12, words));
        }
        shapes.push(Shape::Size(left, base + 22, right, base + 22));
        let long = self.figure("slope_length_um");
        shapes.push(Shape::Words((left + right) / 2, base + 46, long.clone()));
        let values = [
            ("length", long),
            ("first", self.figure("slope_first_tenth_deg")),
            ("most", self.figure("slope_most_tenth_deg")),
            ("percent", px(percent(most)).to_string()),
        ];
        self.drawn("slope", base + 62, shapes, &values)
    }

    fn bump(&self) -> Drawing {
        let height = self.metres("bump_height_um");
        // A wheel of half a metre beside it gives the size.
        let scale = 200.0;
        let (base, tall) = (190, px(height * scale).max(6));
        let mut shapes = vec![
            Shape::Ground(EDGE, base, WIDTH - EDGE, base),
            Shape::Thing(300, base - tall, 40, tall),
            Shape::Way(arc_of_wheel(220, base - 50, 50)),
            Shape::Size(370, base - tall, 370, base),
        ];
        let words = self.figure("bump_height_um");
        shapes.push(Shape::Words(450, base - tall / 2 + 6, words.clone()));
        self.drawn("bump", base + 24, shapes, &[("height", words)])
    }

    fn group(&self) -> Drawing {
        let riders = self.curriculum.figure("group_riders_count").clamp(1, 9);
        let step = px(ROOM / (riders as f64 + 1.0));
        let y = 80;
        let mut shapes: Vec<Shape> = (0..riders + 2)
            .map(|nth| Shape::Machine((WIDTH - EDGE - step * nth).max(EDGE), y))
            .take(usize::try_from(riders + 2).unwrap_or(2))
            .collect();
        let (lead, tail) = (WIDTH - EDGE, (WIDTH - EDGE - step * (riders + 1)).max(EDGE));
        shapes.push(Shape::Words(lead - 16, y - 30, self.say("first-adult", &[])));
        shapes.push(Shape::Words(tail + 16, y - 30, self.say("last-adult", &[])));
        shapes.push(Shape::Size(lead - step * 2, y + 36, lead - step, y + 36));
        let gap = self.figure("following_gap_seconds");
        shapes.push(Shape::Words(lead - step * 3 / 2, y + 60, gap.clone()));
        self.drawn("group", y + 76, shapes, &[("riders", riders.to_string()), ("gap", gap)])
    }
}

/// Almost a whole turn round a middle, to the left.
fn arc(cx: i64, cy: i64, r: i64) -> String {
    format!("M{cx} {}A{r} {r} 0 1 0 {} {cy}", cy - r, cx + r)
}

/// A wheel from the side.
fn arc_of_wheel(cx: i64, cy: i64, r: i64) -> String {
    format!("M{} {cy}A{r} {r} 0 1 1 {} {cy}A{r} {r} 0 1 1 {} {cy}", cx - r, cx + r, cx - r)
}

#[cfg(test)]
mod tests;

//! Growth charts as a check of typing: is a typed height or weight one that a child of this age can have?
//! Must not judge a child: there is no finding, only the question whether pounds were typed for kilograms.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Length, Mass};
use crate::domain::words::word_list;

word_list! {
    /// Which of the two charts to compare with, as the guardian chose; without a choice nothing is compared.
    Chart {
        /// The chart for boys.
        Boy = "boy",
        /// The chart for girls.
        Girl = "girl",
    }
}

/// The three numbers of one row: skewness, median, spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lms {
    /// L, the power that makes the measure normal.
    pub l: f64,
    /// M, the median.
    pub m: f64,
    /// S, the coefficient of variation.
    pub s: f64,
}

impl Lms {
    /// How many standard deviations a value lies from the median.
    #[must_use]
    pub fn z(&self, value: f64) -> f64 {
        if self.l == 0.0 {
            (value / self.m).ln() / self.s
        } else {
            ((value / self.m).powf(self.l) - 1.0) / (self.l * self.s)
        }
    }

    /// The value that lies so many standard deviations from the median.
    #[must_use]
    pub fn value(&self, z: f64) -> f64 {
        if self.l == 0.0 {
            self.m * (self.s * z).exp()
        } else {
            self.m * (1.0 + self.l * self.s * z).powf(1.0 / self.l)
        }
    }

    /// The modified score, which does not flatten far from the median: the distance from it, divided by half the
    /// distance between the median and two standard deviations on that side.
    #[must_use]
    pub fn modified_z(&self, value: f64) -> f64 {
        let side = if value < self.m { -2.0 } else { 2.0 };
        (value - self.m) / ((self.value(side) - self.m) / side)
    }
}

/// One chart at one age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowthRow {
    /// Standing height in centimetres.
    pub height: Lms,
    /// Mass in kilograms.
    pub weight: Lms,
}

/// Both charts, by twice the age in months, so that a half month is a whole number.
#[derive(Clone, Debug, PartialEq)]
pub struct GrowthCharts(BTreeMap<(Chart, i64), GrowthRow>);

/// A line of the charts that does not read as one, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {0} of the growth charts cannot be read")]
pub struct NotAChart(pub usize);

impl GrowthCharts {
    /// Reads `sex,months,height L,M,S,weight L,M,S` lines under a heading.
    ///
    /// # Errors
    /// [`NotAChart`] with the first line that does not read so.
    pub fn parse(csv: &str) -> Result<Self, NotAChart> {
        let lines = (1..).zip(csv.lines()).skip(1);
        lines.map(|(number, line)| read_line(line).ok_or(NotAChart(number))).collect::<Result<_, _>>().map(Self)
    }

    /// The row that stands for a child of so many completed months: the half-month row stands for its whole month.
    #[must_use]
    pub fn row(&self, chart: Chart, completed_months: i64) -> Option<&GrowthRow> {
        self.0.get(&(chart, completed_months.checked_mul(2)?.checked_add(1)?))
    }

    /// Every row: chart, twice the months, numbers.
    pub fn rows(&self) -> impl Iterator<Item = (Chart, i64, &GrowthRow)> {
        self.0.iter().map(|((chart, half_months), row)| (*chart, *half_months, row))
    }
}

fn read_line(line: &str) -> Option<((Chart, i64), GrowthRow)> {
    let cells: Vec<&str> = line.split(',').collect();
    let [sex, months, hl, hm, hs, wl, wm, ws] = cells[..] else { return None };
    let chart = crate::domain::words::Word::from_word(sex)?;
    let half_months = (months.parse::<f64>().ok()? * 2.0).round() as i64;
    let lms = |l: &str, m: &str, s: &str| Some(Lms { l: l.parse().ok()?, m: m.parse().ok()?, s: s.parse().ok()? });
    Some(((chart, half_months), GrowthRow { height: lms(hl, hm, hs)?, weight: lms(wl, wm, ws)? }))
}

/// From where on a measure is asked about, in hundredths of a standard deviation. The first four are modified scores by
/// which the CDC's own program flags implausible values, from memory of its notes; the slip score is our own choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct GrowthLimits {
    /// Height, least modified score.
    pub height_least: i64,
    /// Height, greatest modified score.
    pub height_most: i64,
    /// Weight, least modified score.
    pub weight_least: i64,
    /// Weight, greatest modified score.
    pub weight_most: i64,
    /// A weight farther than this from the median is asked about when the same number in the other unit lies nearer.
    /// 233 leaves about one child of a hundred outside on each side.
    pub slip: i64,
}

impl Default for GrowthLimits {
    fn default() -> Self {
        Self { height_least: -500, height_most: 400, weight_least: -500, weight_most: 800, slip: 233 }
    }
}

/// What a child's measures are compared with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GrowthCheck {
    /// The chart at the child's age.
    pub row: GrowthRow,
    /// The program's limits.
    pub limits: GrowthLimits,
}

impl GrowthCheck {
    /// Whether a height is within the limits.
    #[must_use]
    pub fn takes_height(&self, height: Length) -> bool {
        let score = self.row.height.modified_z(centimetres(height));
        is_between(score, self.limits.height_least, self.limits.height_most)
    }

    /// Whether a weight is within the limits.
    #[must_use]
    pub fn takes_weight(&self, weight: Mass) -> bool {
        let score = self.row.weight.modified_z(kilograms(weight));
        is_between(score, self.limits.weight_least, self.limits.weight_most)
    }

    /// Whether a weight is an everyday one at this age.
    #[must_use]
    pub fn is_everyday(&self, weight: Mass) -> bool {
        is_between(self.row.weight.z(kilograms(weight)), -self.limits.slip, self.limits.slip)
    }
}

fn is_between(score: f64, least: i64, most: i64) -> bool {
    (least as f64..=most as f64).contains(&(score * 100.0))
}

fn centimetres(length: Length) -> f64 {
    length.um() as f64 / 10_000.0
}

fn kilograms(mass: Mass) -> f64 {
    mass.g() as f64 / 1000.0
}

#[cfg(test)]
mod tests {
    use super::super::{Doubt, DoubtAbout, INCH_UM, Measures, Windows, doubts};
    use super::*;
    use proptest::prelude::*;

    fn charts() -> GrowthCharts {
        GrowthCharts::parse(include_str!("../../../seed/growth/cdc2000.csv")).expect("the shipped charts are sound")
    }

    fn row(chart: Chart, months: i64) -> GrowthRow {
        *charts().row(chart, months).expect("a row")
    }

    fn near(found: f64, expected: f64, places: i32) {
        assert!((found - expected).abs() <= 0.5 * 10_f64.powi(-places) + 1e-12, "{found} is not {expected}");
    }

    /// Worked example of the CDC's data-file notes: a boy of 9.5 months with 9.7 kg.
    #[test]
    fn saturday_6_row_37_the_worked_example_of_the_growth_chart_notes() {
        near(Lms { l: -0.160_095_4, m: 9.476_500_305, s: 0.112_186_24 }.z(9.7), 0.2074, 4);
    }

    /// CDC growth charts of 2000, LMS rows at the half month; scores computed from the published formula.
    #[test]
    fn saturday_6_rows_38_to_48_scores_on_the_shipped_charts() {
        use Chart::{Boy, Girl};
        let boy_of_ten = row(Boy, 120);
        assert_eq!(boy_of_ten.height, Lms { l: 0.505_564_115, m: 138.823_411_4, s: 0.047_610_108 });
        near(boy_of_ten.height.z(140.0), 0.1776, 4);
        near(boy_of_ten.height.z(138.823_411_4), 0.0, 4);
        near(row(Girl, 120).weight.z(30.0), -0.5173, 4);
        near(row(Girl, 144).height.z(165.0), 1.8598, 4);
        near(row(Boy, 96).weight.z(50.0), 2.8085, 4);
        near(row(Boy, 72).height.value(-2.0), 105.4953, 4);
        near(row(Boy, 72).height.modified_z(100.0), -3.0811, 4);
        near(row(Boy, 96).weight.value(2.0), 38.6157, 4);
        near(row(Boy, 96).weight.modified_z(50.0), 3.7701, 4);
        near(boy_of_ten.height.value(1.644_853_6), 149.91, 2);
        near(boy_of_ten.weight.value(2.326_347_9), 57.21, 2);
    }

    /// CDC's note on implausible values: a boy of 48.5 months, body mass index 12, median 15.62, 13.74 at two below.
    /// The chart of that index is not shipped, so the row is made from the median and that value with L = 1.
    #[test]
    fn saturday_6_row_47_the_worked_example_of_a_modified_score() {
        let made = Lms { l: 1.0, m: 15.62, s: (15.62 - 13.74) / 2.0 / 15.62 };
        near(made.value(-2.0), 13.74, 6);
        near(made.modified_z(12.0), -3.85, 2);
    }

    /// CDC data-file notes: 1.5 stands for 1.0 up to, not including, 2.0.
    #[test]
    fn saturday_6_row_49_a_child_of_so_many_completed_months_takes_the_half_month_after() {
        let charts = charts();
        let of = |months| charts.row(Chart::Boy, months);
        assert_eq!(of(120).map(|row| row.weight), Some(Lms { l: -1.206_688_407, m: 32.087_990_62, s: 0.178_928_74 }));
        assert_ne!(of(119), of(120));
        assert!(of(23).is_none() && of(24).is_some() && of(239).is_some() && of(240).is_none());
        assert!(charts.row(Chart::Girl, i64::MAX).is_none() && charts.row(Chart::Girl, -1).is_none());
        assert_eq!(charts.rows().count(), 872 / 2, "a height and a weight in each");
    }

    fn typed(height_um: Option<i64>, weight_g: Option<i64>) -> Measures {
        let day = chrono::NaiveDate::from_ymd_opt(2026, 7, 4).expect("a day");
        let (height, weight) = (height_um.map(Length::from_um), weight_g.map(Mass::from_g));
        Measures { height, weight, ..Measures::none_on(day) }
    }

    fn asked(measures: &Measures, chart: Chart, months: i64) -> Vec<Doubt> {
        let check = GrowthCheck { row: row(chart, months), limits: GrowthLimits::default() };
        doubts(measures, &Windows::default(), Some(&check))
    }

    /// CDC LMS: 70 kg lies above the 99th centile (57.21 kg) of boys of ten; 70 lb is 31.75 kg.
    #[test]
    fn saturday_6_row_50_seventy_pounds_typed_as_kilograms_for_a_boy_of_ten() {
        let found = asked(&typed(None, Some(70_000)), Chart::Boy, 120);
        assert_eq!(found, [Doubt::PoundsTakenAsKilograms(Mass::from_g(31_751))]);
        assert_eq!(asked(&typed(None, Some(31_751)), Chart::Boy, 120), []);
        assert_eq!(doubts(&typed(None, Some(70_000)), &Windows::default(), None), [], "the flat windows let it pass");
        let found = asked(&typed(None, Some(14_515)), Chart::Boy, 120);
        assert_eq!(found, [Doubt::KilogramsTakenAsPounds(Mass::from_g(32_000))], "32 kg typed as pounds");
    }

    /// The shipped limits (-5 and 4 for height, -5 and 8 for weight) are from memory of the CDC's program.
    #[test]
    fn saturday_6_a_height_beyond_the_limits_for_the_age_is_asked_about_and_one_within_is_not() {
        // A girl of six whose height is typed as 160 cm: the flat window takes it, the chart does not.
        let found = asked(&typed(Some(1_600_000), None), Chart::Girl, 72);
        assert_eq!(found, [Doubt::OutsideWindow(DoubtAbout::Height)]);
        assert_eq!(doubts(&typed(Some(1_600_000), None), &Windows::default(), None), []);
        // A tall and a short child of ten, at the 99th and the 1st centile.
        for cm in [154.6, 123.9] {
            assert_eq!(asked(&typed(Some((cm * 10_000.0) as i64), None), Chart::Boy, 120), [], "{cm}");
        }
        // 52 in typed as 52 cm, at every age a rider has.
        for months in 72..216 {
            let found = asked(&typed(Some(520_000), None), Chart::Boy, months);
            assert!(!found.is_empty(), "{months} months");
        }
        let slip = asked(&typed(Some(520_000), None), Chart::Boy, 108);
        assert_eq!(slip, [Doubt::InchesTakenAsCentimetres(DoubtAbout::Height, Length::from_um(52 * INCH_UM))]);
        let limits = GrowthLimits { height_least: -10_000, height_most: 10_000, ..GrowthLimits::default() };
        let wide = GrowthCheck { row: row(Chart::Girl, 72), limits };
        assert!(wide.takes_height(Length::from_cm(160)), "the limits are the program's to set");
    }

    proptest! {
        /// The score and the value undo each other, and both rise: whoever is taller has the higher score.
        #[test]
        fn saturday_6_scores_rise_with_the_measure_and_turn_back_into_it(months in 24_i64..240, girl: bool, z in -4.0..4.0_f64) {
            let chart = if girl { Chart::Girl } else { Chart::Boy };
            for lms in [row(chart, months).height, row(chart, months).weight] {
                // Weight has a greatest score where its power is negative: there is no value beyond it.
                prop_assume!(1.0 + lms.l * lms.s * (z + 0.1) > 0.0);
                let value = lms.value(z);
                prop_assert!((lms.z(value) - z).abs() < 1e-6);
                prop_assert!(lms.value(z + 0.1) > value && lms.modified_z(value * 1.01) > lms.modified_z(value));
            }
        }

        /// At the median, in either unit system, nobody is asked.
        #[test]
        fn saturday_6_a_child_at_the_median_is_never_asked(months in 60_i64..228, girl: bool) {
            let chart = if girl { Chart::Girl } else { Chart::Boy };
            let row = row(chart, months);
            let measures = typed(Some((row.height.m * 10_000.0) as i64), Some((row.weight.m * 1000.0) as i64));
            prop_assert_eq!(asked(&measures, chart, months), []);
        }
    }
}

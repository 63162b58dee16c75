//! Invented cases, for trials and for the audit: routine ones of one day, and a year of a clinic with what
//! became of each toe. Nobody in them exists.

use crate::clinical::working_days::OpeningDays;
use crate::date::CivilDate;
use crate::nation::Division;

/// Varied, invented, routine cases: file name and text. The same seed gives the same cases.
pub fn invent(count: u32, seed: u64) -> Vec<(String, String)> {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    (1..=count).map(|number| (format!("TRY-{number:05}.yaml"), invent_one(number, &mut dice))).collect()
}

/// xorshift64: repeatable, and good enough to vary demo text.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % sides
    }

    fn pick<'a>(&mut self, from: &[&'a str]) -> &'a str {
        let sides = from.len() as u64;
        from[usize::try_from(self.roll(sides)).unwrap_or(0)]
    }
}

fn invent_one(number: u32, dice: &mut Dice) -> String {
    let given =
        dice.pick(&["Alder", "Brin", "Cosima", "Dara", "Eluned", "Fenn", "Gwil", "Hester", "Ines", "Jory"]);
    let family =
        dice.pick(&["Amberley", "Bracken", "Culver", "Dunnock", "Elvers", "Fallow", "Garnet", "Harrow"]);
    let sex = dice.pick(&["female", "male"]);
    let height = 155 + dice.roll(35);
    let weight = height - 105 + dice.roll(30);
    let year = 1962 + dice.roll(40);
    let toe = dice.pick(&["R1", "L1", "L1", "R1", "R2", "L3"]);
    let edges = dice.pick(&["[lateral]", "[medial]", "[medial, lateral]"]);
    let on = if edges.contains(',') { ", on: each edge" } else { "" };
    let medicine = dice.pick(&["", "salbutamol", "levothyroxine", "amlodipine", "sertraline"]);
    let volume = dice.pick(&["1.8", "2", "2.2"]);
    let tray = dice.roll(9000) + 1000;
    let summary = dice.pick(&[
        "eight months of pain, two courses of antibiotics",
        "three months of pain in shoes, not helped by packing",
        "returns every winter, now sore at night",
        "pain after long walks; tried cutting the corner away",
    ]);
    format!(
        r#"# An invented case for trials of speed; nobody in it exists.
reference: TRY-{number:05}
patient:
  given: {given}
  family: {family}
  born: {year}-05-17
  sex: {sex}
  weight: {weight} kg
  height: {height} cm
  address: [{number} Trial Street, Larkmoor, XX4 9ZZ]
gp: birchgate
history:
  diabetes: none
  conditions: []
  medicines: [{medicine}]
  allergies: none known
  smoker: false
  pregnant: false
problem:
  summary: {summary}
  toes:
    {toe}: {{edges: {edges}, stage: 2, infected: false}}
vascular:
  right: {{pulses: palpable}}
  left: {{pulses: palpable}}
sensation: {{right: 10/10, left: 10/10}}
plan:
  {toe}: {{nail: partial, edges: {edges}, matrix: phenol}}
consent:
  signed: 2026-11-24
  by: patient
  alternatives: [no treatment, conservative care]
  taken_by: quill
operation:
  date: 2026-11-24
  start: "09:30"
  finish: "10:20"
  operator: quill
  authority: exemption
  anaesthetic: {{agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08}}
  phenol: {{strength: 89 %, batch: P203, expires: 2027-03}}
  instruments: {{tray: T-{tray}, cycle: "2231"}}
  checks: {{identity: true, site_marked: true, allergies: true, counted: true, tourniquet_off: true}}
  toes:
    {toe}:
      nail: partial
      edges: {edges}
      injected: {volume} ml
      at: "09:35"
      tourniquet: {{on: "09:50", off: "10:01"}}
      phenol: {{applications: 3, each: 60 s{on}}}
      end_point: tissue grey
      overspill: none
      lavage: saline
      refill: 2 s
      groove_clear: true
  complications: none
  urgency: elective
  blood_loss: minimal
  antibiotics: none
  vte_prophylaxis: none
  discharge: well, walked out
"#
    )
}

/// The operations of a clinic from July 2025 to October 2026, with what became of each up to the day by
/// which the demo cases are judged: file name and text. The same seed gives the same cases.
pub fn invent_year(count: u32, seed: u64) -> Vec<(String, String)> {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let days = operating_days();
    let each = |number: u32| {
        let place = (u64::from(number) - 1) * days.len() as u64 / u64::from(count.max(1));
        let day = days[usize::try_from(place).unwrap_or(0).min(days.len() - 1)];
        (format!("LFY-{number:04}.yaml"), Invented::of(number, day, &mut dice).text())
    };
    (1..=count).map(each).collect()
}

/// Tuesdays and Thursdays on which the clinic was open.
fn operating_days() -> Vec<CivilDate> {
    let date = |year, month, day| CivilDate::of(year, month, day).expect("a literal date");
    let closed = [date(2025, 12, 25), date(2026, 1, 1)];
    let (mut day, last) = (date(2025, 7, 1), date(2026, 10, 29));
    let mut days = Vec::new();
    while day <= last {
        if matches!(day.weekday(), chrono::Weekday::Tue | chrono::Weekday::Thu) && !closed.contains(&day) {
            days.push(day);
        }
        day = day.plus_days(1);
    }
    days
}

/// A case of the year, before it is written down.
struct Invented {
    number: u32,
    day: CivilDate,
    given: &'static str,
    family: &'static str,
    sex: &'static str,
    born: i32,
    height: u64,
    weight: u64,
    operator: &'static str,
    agent: (&'static str, &'static str, &'static str),
    /// Toe, edges (`None` for the whole nail).
    toes: Vec<(&'static str, Option<&'static str>)>,
    phenol: bool,
    tourniquet: u64,
    visits: String,
    closed: String,
}

impl Invented {
    fn of(number: u32, day: CivilDate, dice: &mut Dice) -> Invented {
        let given = dice.pick(&[
            "Alder", "Brin", "Cosima", "Dara", "Eluned", "Fenn", "Gwil", "Hester", "Ines", "Jory", "Kerra",
            "Lowen", "Merryn", "Nessa", "Orla", "Perran",
        ]);
        let family = dice.pick(&[
            "Amberley",
            "Bracken",
            "Culver",
            "Dunnock",
            "Elvers",
            "Fallow",
            "Garnet",
            "Harrow",
            "Inglebright",
            "Juniper",
            "Kestrel",
            "Linnet",
            "Mallard",
            "Nuthatch",
            "Osprey",
            "Pipit",
        ]);
        let is_young = dice.roll(6) == 0;
        let born = if is_young { 2009 + number_of(dice.roll(3)) } else { 1948 + number_of(dice.roll(56)) };
        let height = if is_young { 158 + dice.roll(14) } else { 156 + dice.roll(34) };
        let mut invented = Invented {
            number,
            day,
            given,
            family,
            sex: dice.pick(&["female", "male"]),
            born,
            height,
            weight: if is_young { height - 104 + dice.roll(8) } else { height - 102 + dice.roll(24) },
            operator: if dice.roll(3) == 0 { "ashdown" } else { "quill" },
            agent: if dice.roll(5) == 0 {
                ("lidocaine", "2 %", "L2208")
            } else {
                ("mepivacaine", "3 %", "M4417")
            },
            toes: Vec::new(),
            phenol: dice.roll(10) > 0,
            tourniquet: if dice.roll(24) == 0 { 22 } else { 8 + dice.roll(11) },
            visits: String::new(),
            closed: String::new(),
        };
        let toe = dice.pick(&["L1", "R1", "L1", "R1", "R1", "L1", "L2", "R3"]);
        let edges = dice.pick(&["[lateral]", "[medial]", "[lateral]", "[medial, lateral]"]);
        invented.toes.push((toe, (dice.roll(7) > 0).then_some(edges)));
        if toe.ends_with('1') && dice.roll(7) == 0 {
            invented.toes.push((if toe == "L1" { "R1" } else { "L1" }, Some("[lateral]")));
        }
        invented.course(dice);
        invented
    }

    fn has_whole_nail(&self) -> bool {
        self.toes.iter().any(|(_, edges)| edges.is_none())
    }

    /// What became of it, as far as the day by which the demo cases are judged.
    fn course(&mut self, dice: &mut Dice) {
        let today = super::today();
        // Tuesday to Friday, Thursday to Monday.
        let first = self.open_day(3);
        if first > today {
            return;
        }
        let second = self.open_day(14);
        self.visit(first, "redressing", "wound: weeping clear, pain: 3/10, infected: false, healed: false", &format!(
            "dressing: calcium alginate, sterile gauze, tubular bandage\n    taught: dressing changes\n    next: {{kind: redressing, on: {second}}}"
        ));
        let heals =
            self.day.plus_days(if self.has_whole_nail() { 48 + dice.roll(44) } else { 24 + dice.roll(40) });
        if dice.roll(18) == 0 {
            let (on, again) = (self.open_day(8), self.open_day(10));
            if again > today {
                return;
            }
            self.visit(on, "unplanned", "wound: pus at the edge, redness: 15 mm, drawn_round: true, pain: 6/10, signs: [pus, pain, redness, heat], infected: true, healed: false", &format!(
                "unwell: false\n    antibiotic: {{medicine: flucloxacillin, dose: 500 mg four times a day for 7 days, from: gp}}\n    dressing: antimicrobial dressing, gauze\n    told: call if the redness passes the line, or if hot or shivery\n    gp_actions: [please prescribe flucloxacillin today]\n    next: {{kind: redressing, on: {again}}}"
            ));
            self.visit(
                again,
                "redressing",
                "wound: drier, redness: 6 mm, pain: 2/10, infected: false, healed: false",
                &format!("dressing: calcium alginate, gauze\n    next: {{kind: redressing, on: {second}}}"),
            );
        }
        if second > today {
            return;
        }
        let review = self.open_day(42);
        if dice.roll(12) == 0 {
            // Came no more.
            let again = self.open_day(21);
            self.missed(second, "telephoned: no answer; letter with a new date sent", again);
            if again <= today {
                self.visits.push_str(&format!("  - on: {again}\n    kind: missed\n    by: {}\n    note: telephoned twice, letter not answered\n", self.operator));
                self.closed = format!(
                    "closed: {{on: {}, by: {}, because: lost}}\n",
                    again.plus_days(14).min(today),
                    self.operator
                );
            }
            return;
        }
        self.visit(
            second,
            "redressing",
            "wound: weeping a little, pain: 1/10, infected: false, burn: false, healed: false",
            &format!("dressing: dry gauze\n    next: {{kind: review, on: {review}}}"),
        );
        self.reviews(review, heals, dice);
    }

    /// Reviews until it is healed, and for some a look after half a year or more.
    fn reviews(&mut self, mut review: CivilDate, heals: CivilDate, dice: &mut Dice) {
        let today = super::today();
        while review <= today && review < heals {
            let next = next_open(review.plus_days(21));
            self.visit(
                review,
                "review",
                "wound: nearly dry, pain: 0/10, infected: false, healed: false",
                &format!("next: {{kind: review, on: {next}}}"),
            );
            review = next;
        }
        if review > today {
            return;
        }
        let healed = if heals < review {
            format!("healed: true, healed_on: {heals}")
        } else {
            "healed: true".to_owned()
        };
        let looks_again = dice.roll(5) < 2;
        let late = self.day.plus_days(190 + dice.roll(160));
        let late = next_open(late);
        let next = if looks_again { format!("next: {{kind: review, on: {late}}}") } else { String::new() };
        self.visit(
            review,
            "review",
            &format!("wound: dry, infected: false, {healed}, regrowth: none"),
            &next,
        );
        if looks_again && late <= today {
            let found = match dice.roll(12) {
                0 => "healed: true, regrowth: spike, regrowth_hurts: true",
                1 => "healed: true, regrowth: spike, regrowth_hurts: false",
                2 if !self.phenol => "healed: true, regrowth: nail, regrowth_hurts: true",
                _ => "healed: true, regrowth: none",
            };
            let plan = if found.contains("true, regrowth: none") {
                ""
            } else {
                "note: shown how to file the edge; to call if it hurts again"
            };
            self.visit(late, "review", found, plan);
            self.closed = format!("closed: {{on: {late}, by: {}, because: healed}}\n", self.operator);
        } else if !looks_again {
            self.closed = format!("closed: {{on: {review}, by: {}, because: healed}}\n", self.operator);
        }
    }

    /// So many days after surgery, or the next day on which the clinic was open.
    fn open_day(&self, days: u64) -> CivilDate {
        next_open(self.day.plus_days(days))
    }

    fn visit(&mut self, on: CivilDate, kind: &str, seen: &str, rest: &str) {
        self.visits
            .push_str(&format!("  - on: {on}\n    by: {}\n    kind: {kind}\n    toes:\n", self.operator));
        for (toe, _) in &self.toes {
            self.visits.push_str(&format!("      {toe}: {{{seen}}}\n"));
        }
        if !rest.is_empty() {
            self.visits.push_str(&format!("    {rest}\n"));
        }
    }

    fn missed(&mut self, on: CivilDate, note: &str, again: CivilDate) {
        self.visits.push_str(&format!(
            "  - on: {on}\n    by: {}\n    kind: missed\n    note: \"{note}\"\n    next: {{kind: redressing, on: {again}}}\n",
            self.operator
        ));
    }

    fn text(&self) -> String {
        let Invented {
            number,
            day,
            given,
            family,
            sex,
            born,
            height,
            weight,
            operator,
            phenol,
            tourniquet,
            ..
        } = self;
        let signed = minus_days(*day, 4);
        let (agent, strength, batch) = self.agent;
        let matrix = if *phenol { "phenol" } else { "none" };
        let nail = |edges: &Option<&str>| match edges {
            Some(edges) => format!("nail: partial, edges: {edges}"),
            None => "nail: total".to_owned(),
        };
        let problem: String = self
            .toes
            .iter()
            .map(|(toe, edges)| {
                format!(
                    "    {toe}: {{edges: {}, stage: 2, infected: false}}\n",
                    edges.unwrap_or("[medial, lateral]")
                )
            })
            .collect();
        let plan: String = self
            .toes
            .iter()
            .map(|(toe, edges)| format!("  {toe}: {{{}, matrix: {matrix}}}\n", nail(edges)))
            .collect();
        let mut clock = 50;
        let done: String = self.toes.iter().map(|(toe, edges)| {
            let on = clock;
            clock += tourniquet + 4;
            let time = |minutes: u64| format!("{:02}:{:02}", 9 + minutes / 60, minutes % 60);
            let treated = if *phenol {
                let each = if edges.is_some_and(|edges| edges.contains(',')) { ", on: each edge" } else { "" };
                format!("      phenol: {{applications: 3, each: 60 s{each}}}\n      end_point: tissue grey\n      overspill: none\n")
            } else {
                String::new()
            };
            format!(
                "    {toe}:\n{}      injected: 1.8 ml\n      at: \"09:35\"\n      tourniquet: {{on: \"{}\", off: \"{}\"}}\n{treated}      refill: 2 s\n      groove_clear: true\n",
                nail(edges).split(", edges").next().map(|nail| {
                    let edges = edges.map_or_else(String::new, |edges| format!("      edges: {edges}\n"));
                    format!("      {nail}\n{edges}")
                }).unwrap_or_default(),
                time(on),
                time(on + tourniquet),
            )
        }).collect();
        let finish = clock + 6;
        let accepted = if *tourniquet > 20 {
            format!(
                "accepted:\n  - {{rule: tourniquet-long, because: \"nail bed bled when it was let down first; toe pink at once after\", by: {operator}}}\n"
            )
        } else {
            String::new()
        };
        // Of the usual anaesthetic and of phenol the clinic has a box; of the other one the label is typed.
        let anaesthetic = match agent {
            "mepivacaine" => "mepi".to_owned(),
            agent => format!("{{agent: {agent}, strength: {strength}, batch: {batch}, expires: 2027-08}}"),
        };
        let supply = if *phenol { "  phenol: ph\n" } else { "" };
        let pregnant = if *sex == "female" { "  pregnant: false\n" } else { "" };
        let guardian = if day.days_until(CivilDate::of(born + 16, 5, 17).unwrap_or(*day)) > 0 {
            "  guardian: {name: \"Rowan Vale\", relationship: mother, parental_responsibility: true}\n"
        } else {
            ""
        };
        let by = if guardian.is_empty() { "patient" } else { "guardian" };
        let visits = if self.visits.is_empty() { String::new() } else { format!("visits:\n{}", self.visits) };
        format!(
            r#"# An invented case of an invented year; nobody in it exists.
reference: LFY-{number:04}
patient:
  given: {given}
  family: {family}
  born: {born}-05-17
  sex: {sex}
  weight: {weight} kg
  height: {height} cm
  address: [{number} Trial Street, Larkmoor, XX4 9ZZ]
{guardian}gp: birchgate
history:
  diabetes: none
  conditions: []
  medicines: []
  allergies: none known
  smoker: false
{pregnant}problem:
  summary: months of pain in shoes
  toes:
{problem}vascular: {{right: {{pulses: palpable}}, left: {{pulses: palpable}}}}
sensation: {{right: 10/10, left: 10/10}}
plan:
{plan}consent:
  taken_by: {operator}
  signed: {signed}
  confirmed: {day}
  by: {by}
  alternatives: [no treatment, conservative care]
operation:
  date: {day}
  start: "09:30"
  finish: "{:02}:{:02}"
  operator: {operator}
  authority: exemption
  anaesthetic: {anaesthetic}
{supply}  instruments: {{tray: T-{:04}, cycle: "{}"}}
  checks: {{identity: true, site_marked: true, allergies: true, counted: true, tourniquet_off: true}}
  toes:
{done}  routine: as protocol
  complications: none
  blood_loss: minimal
  discharge: well, walked out
{accepted}{visits}{}"#,
            9 + finish / 60,
            finish % 60,
            400 + number,
            2200 + number,
            self.closed,
        )
    }
}

fn number_of(rolled: u64) -> i32 {
    i32::try_from(rolled).unwrap_or(0)
}

/// The day itself, or the next on which the clinic of the demo was open.
fn next_open(day: CivilDate) -> CivilDate {
    use chrono::Weekday::{Fri, Mon, Thu, Tue, Wed};
    let date = |day| CivilDate::of(2026, 12, day).expect("a literal date");
    let (weekdays, closed) = (vec![Mon, Tue, Wed, Thu, Fri], [date(24), date(29)]);
    let days = OpeningDays { division: Division::EnglandAndWales, weekdays, closed: &closed };
    days.first_open_from(day).map_or(day, |open| open.date)
}

fn minus_days(day: CivilDate, days: u64) -> CivilDate {
    day.0.checked_sub_days(chrono::Days::new(days)).map_or(day, CivilDate)
}

//! The slipper as it is worn, as an onlooker and as the wearer see it, and beside it the same face
//! counted along a column and a round.

pub mod cloth;
pub mod look;
pub mod shape;
pub mod yarn;

use kurbo::{Point, Rect, Size};

use self::cloth::Stitch;
use self::look::{Look, Seen, lit};
use self::shape::Body;
use crate::draw::chart_sheet::border;
use crate::draw::scene::{polygon, polyline};
use crate::draw::{Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, Scene};
use crate::fabric::Space;
use crate::face::Facing;
use crate::units::Ruler;
use crate::weave::Plan;

/// Dots per inch of the picture: at this it is a screen wide, and reads on a phone.
pub const DPI: f64 = 140.0;

/// Width of the sheet, mm.
const WIDTH_MM: f64 = 160.0;

/// From the edge of the sheet to what is drawn, mm.
const MARGIN_MM: f64 = 11.0;

/// Between the pictures, mm.
const GAP_MM: f64 = 8.0;

/// Room for the title, mm.
const TITLE_MM: f64 = 20.0;

/// Room for the line under a picture, mm.
const CAPTION_MM: f64 = 9.0;

/// Size of captions, mm.
const TEXT_MM: f64 = 4.3;

/// Size of the counted slipper against the others.
const SMALL: f64 = 0.54;

/// Least luminance of the slipper in the picture: less, and its stitches cannot be told apart.
const DARKEST: f64 = 0.04;

/// What the small picture shows.
const COUNTED: [&str; 3] = ["if counted", "along a column", "and a round"];

/// Room round a view for its shadow and the yarn of its rim, as a share of its height.
const AROUND: f64 = 0.035;

/// Least difference that is told, mm.
const TOLD_MM: f64 = 0.5;

/// Draws the face on the worn slipper. It is a view: it has no scale.
#[must_use]
pub fn worn(plan: &Plan, settings: &DrawSettings) -> Scene {
    let picture = Picture::new(plan, settings);
    let [onlooker, wearer] = [Seen::ByOnlooker, Seen::ByWearer].map(|seen| picture.bounds(seen));
    let wide = onlooker.width();
    let room = WIDTH_MM - 2.0 * MARGIN_MM - 2.0 * GAP_MM;
    let scale = room / (wide * (2.0 + SMALL));
    let high = scale * onlooker.height().max(wearer.height());
    let top = MARGIN_MM + TITLE_MM;
    let bottom = top + high + CAPTION_MM;
    let size = Size::new(WIDTH_MM, bottom + MARGIN_MM);
    let mut layers = vec![border(size), title(plan, settings)];
    let mut left = MARGIN_MM;
    let views = [
        (Seen::ByOnlooker, onlooker, "as an onlooker sees it"),
        (Seen::ByWearer, wearer, "as the wearer sees it"),
    ];
    for (seen, bounds, words) in views {
        let mut group = Group::new(seen.word());
        let place = Point::new(left, top + (high - scale * bounds.height()) / 2.0);
        let look = Look::new(seen).placed(bounds, place, scale);
        let place = Rect::from_origin_size(place, bounds.size() * scale);
        group.group(picture.view(&look, place, |at| at));
        let middle = Point::new(left + scale * wide / 2.0, bottom - 1.0);
        let words = Lettering::new(words, Font::SerifItalic, TEXT_MM);
        group.text(words.at(middle, Anchor::Middle), Colour::INK);
        layers.push(group);
        left += scale * wide + GAP_MM;
    }
    let counted = Point::new(left, top + 0.12 * high);
    layers.push(picture.counted(counted, scale * SMALL));
    Scene {
        width_mm: size.width,
        height_mm: size.height,
        title: format!("{} on {}, worn", plan.face_name, plan.slipper_name),
        description: format!(
            "{} on {} as an onlooker and as the wearer see it, and as it would be if counted along a column and a round.",
            plan.face_name, plan.slipper_name
        ),
        paper: Colour::PAPER,
        layers,
    }
}

/// What all the views show.
struct Picture<'a> {
    plan: &'a Plan,
    settings: &'a DrawSettings,
    slipper: Body<'a>,
    tube: Vec<Stitch>,
    strip: Vec<Stitch>,
}

impl<'a> Picture<'a> {
    fn new(plan: &'a Plan, settings: &'a DrawSettings) -> Self {
        let slipper = Body::new(&plan.instep);
        Self {
            plan,
            settings,
            tube: slipper.tube(),
            strip: slipper.strip(),
            slipper,
        }
    }

    /// What a view takes up, mm of the slipper.
    fn bounds(&self, seen: Seen) -> Rect {
        let look = Look::new(seen);
        let stitches = self.tube.iter().chain(&self.strip);
        stitches
            .flat_map(|stitch| stitch.foot.iter().chain(&stitch.top))
            .map(|place| place.at)
            .chain(self.slipper.sole())
            .map(|at| Rect::from_center_size(look.sheet(at), Size::ZERO))
            .reduce(|a, b| a.union(b))
            .unwrap_or_default()
    }

    /// One view, which takes up a place of the sheet; each place of the face is carried to `lay`
    /// first.
    fn view(&self, look: &Look, place: Rect, lay: impl Fn(Point) -> Point) -> Group {
        let margin = AROUND * place.height();
        let window = place.inflate(margin, margin);
        // Black yarn would swallow its own shading.
        let fabric = Colour(self.settings.fabric).thinned(DARKEST);
        let mut slipper = Group::crowded(window);
        // The same under every face.
        slipper.recurs = true;
        self.cloth(&mut slipper, look, fabric);
        let mut face = Group::crowded(window);
        yarn::strands(&mut face, self.plan, &self.slipper, look, fabric, lay);
        face.window = Some(face.bounds().inflate(0.5, 0.5).intersect(window));
        let mut view = Group::new("");
        view.group(slipper);
        view.group(face);
        view
    }

    /// The slipper without a face.
    fn cloth(&self, group: &mut Group, look: &Look, fabric: Colour) {
        self.ground(group, look);
        let rim = self.slipper.rim();
        let opening = polygon(rim.iter().map(|place| look.sheet(place.at)));
        group.fill(&opening, lit(fabric, 5));
        cloth::inside(group, &self.strip, look, fabric, self.slipper.half_height());
        // What is nearer to the one who looks comes last.
        let stitches = match look.seen {
            Seen::ByOnlooker => [&self.strip, &self.tube],
            Seen::ByWearer => [&self.tube, &self.strip],
        };
        for stitches in stitches {
            cloth::outside(group, stitches, look, fabric);
        }
        let link = 0.5 * self.plan.instep.row_mm();
        cloth::rim(group, &rim, look, fabric, link);
    }

    /// The shadow on the floor, softer toward its edge.
    fn ground(&self, group: &mut Group, look: &Look) {
        let sole = self.slipper.sole();
        let middle = look.sheet(Space::new(0.0, 0.0, -self.slipper.half_height()));
        for (spread, share) in [(1.05, 0.04), (1.025, 0.08), (1.0, 0.12), (0.97, 0.17)] {
            let outline = sole.iter().map(|&at| middle.lerp(look.sheet(at), spread));
            group.fill(&polygon(outline), Colour::PAPER.mix(Colour::INK, share));
        }
    }

    /// The face as one would count it who trusts a column and a round.
    fn counted(&self, corner: Point, scale: f64) -> Group {
        let seen = match self.plan.facing {
            Facing::Onlooker => Seen::ByOnlooker,
            Facing::Wearer => Seen::ByWearer,
        };
        let bounds = self.bounds(seen);
        let look = Look::new(seen).placed(bounds, corner, scale);
        let mut group = Group::new("counted");
        let instep = &self.plan.instep;
        let place = Rect::from_origin_size(corner, bounds.size() * scale);
        group.group(self.view(&look, place, |at| instep.counted_naively(at)));
        let line = self.slipper.centre_line(&look);
        group.line(
            &polyline(line),
            Pen::new(Colour::BASTING, 0.45).dashed(&[1.6, 1.2]),
        );
        let mut at = Point::new(
            corner.x + scale * bounds.width() / 2.0,
            corner.y + scale * bounds.height() + 1.6 * TEXT_MM,
        );
        let told = counted_words(self.plan, self.settings.ruler);
        let lines = COUNTED.map(|words| (words.to_owned(), Colour::INK));
        let told = told.into_iter().map(|words| (words, Colour::FADED));
        for (words, colour) in lines.into_iter().chain(told) {
            let words = Lettering::new(words, Font::SerifItalic, TEXT_MM);
            group.text(words.at(at, Anchor::Middle), colour);
            at.y += 1.25 * TEXT_MM;
        }
        group
    }
}

/// How a counted face comes out, in lines: by how much its yarn lies to the side of where it
/// should, and how uneven its pairs are.
fn counted_words(plan: &Plan, ruler: Ruler) -> Vec<String> {
    let strands = plan
        .strands()
        .map(|strand| strand.up.at.midpoint(strand.down.at));
    let shifts: Vec<f64> = strands
        .map(|at| plan.instep.counted_naively(at).x - at.x)
        .collect();
    let off = shifts.iter().sum::<f64>().abs() / shifts.len().max(1) as f64;
    let pairs = plan.symmetry.iter().filter(|symmetry| symmetry.pair);
    let lower = pairs
        .map(|pair| pair.naive.level_mm.abs())
        .fold(0.0, f64::max);
    let mut words = Vec::new();
    if off >= TOLD_MM {
        words.extend([ruler.small(off), "off its place".to_owned()]);
    }
    if lower >= TOLD_MM {
        words.extend([
            "one side".to_owned(),
            format!("{} lower", ruler.small(lower)),
        ]);
    }
    if words.is_empty() {
        words.extend(["it comes out".to_owned(), "the same".to_owned()]);
    }
    words
}

fn title(plan: &Plan, settings: &DrawSettings) -> Group {
    let mut group = Group::new("title");
    let left = MARGIN_MM + 0.5;
    let room = WIDTH_MM - 2.0 * left;
    let name = Font::SerifBold.cut(&plan.face_name, 8.0, room);
    let name = Lettering::new(name, Font::SerifBold, 8.0);
    group.text(
        name.at(Point::new(left, MARGIN_MM + 7.5), Anchor::Start),
        Colour::INK,
    );
    let below = format!(
        "{}; the face is {} wide",
        plan.slipper_name,
        settings.ruler.tape(plan.width_mm)
    );
    let below = Font::Sans.cut(&below, TEXT_MM, room);
    let below = Lettering::new(below, Font::Sans, TEXT_MM);
    group.text(
        below.at(Point::new(left, MARGIN_MM + 14.0), Anchor::Start),
        Colour::FADED,
    );
    group
}

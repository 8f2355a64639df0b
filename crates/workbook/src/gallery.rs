//! The gallery of gestures: what of it is the user's own, how that is kept, and how one is drawn
//! and mixed in.
use crate::strip;
use crate::svg::drawn;
use hand::gesture::{Gesture, starters};
use recipe::Recipe;
use rig::{Posed, Setting, Unit};
use serde::{Deserialize, Serialize};

/// Characters of a gesture's name at most.
pub const LONGEST: usize = 40;
/// The user's own gestures at most: the browser's store is small, and so is a page.
pub const MOST: usize = 200;
/// Fingers of a gesture that is read at most.
const MOST_FINGERS: usize = recipe::MOST_DIGITS;
/// Degrees of a joint that is read at most: a whole turn, more than any joint has.
const MOST_DEGREES: f64 = 360.0;
/// What the kept text begins with; another number is another format.
const FORMAT: &str = "handstand-gestures/1";
/// Of a small figure, px.
pub const SIZE: (f64, f64) = (72.0, 84.0);

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: String,
    gestures: Vec<Gesture>,
}

/// The user's own gestures as the browser keeps them.
pub fn write(gestures: &[Gesture]) -> String {
    let file = File {
        format: FORMAT.to_owned(),
        gestures: gestures.to_vec(),
    };
    serde_json::to_string(&file).unwrap_or_default()
}

/// What `write` wrote. None of anything else, which is to be put aside and not written over.
pub fn read(text: &str) -> Option<Vec<Gesture>> {
    let file: File = serde_json::from_str(text).ok()?;
    let mut known = Vec::new();
    for gesture in file.gestures {
        let sound = is_sound(&gesture) && name(&gesture.name, &known).as_ref() == Ok(&gesture.name);
        if !sound {
            return None;
        }
        known.push(gesture);
    }
    (file.format == FORMAT && known.len() <= MOST).then_some(known)
}

fn is_sound(gesture: &Gesture) -> bool {
    let fingers = gesture.fingers.iter().map(|finger| (*finger).into());
    let thumb = gesture.thumb.map(<[f64; 5]>::from);
    let mut all = fingers.chain(thumb).flatten();
    gesture.fingers.len() <= MOST_FINGERS && all.all(|angle: f64| angle.abs() <= MOST_DEGREES)
}

/// A typed name for a gesture beside these and the twenty.
///
/// # Errors
/// When it is none or taken, in a sentence for the place beside the field.
pub fn name(typed: &str, own: &[Gesture]) -> Result<String, String> {
    let name = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    let long = name.chars().count();
    let same = |known: &str| known.to_lowercase() == name.to_lowercase();
    if name.is_empty() {
        Err("A gesture needs a name; type one, such as dough cup.".into())
    } else if long > LONGEST {
        Err(format!(
            "That is {long} characters; {LONGEST} are the most, so make it shorter."
        ))
    } else if name.chars().any(char::is_control) {
        Err("A name is of letters that can be seen; take the others out.".into())
    } else if starters().any(|known| same(&known.name)) {
        Err(format!("‘{name}’ is one of the twenty; type another name."))
    } else if own.iter().any(|known| same(&known.name)) {
        Err(format!(
            "You have a gesture called ‘{name}’; type another name."
        ))
    } else {
        Ok(name)
    }
}

/// One more of the user's own.
///
/// # Errors
/// As [`name`], and when there are too many.
pub fn add(own: &mut Vec<Gesture>, gesture: Gesture) -> Result<(), String> {
    let name = name(&gesture.name, own)?;
    if own.len() >= MOST {
        return Err(format!(
            "{MOST} gestures of your own are the most; remove one first."
        ));
    }
    own.push(Gesture { name, ..gesture });
    Ok(())
}

/// Another name for one of the user's own, which may be its own in other letters; as it is then.
///
/// # Errors
/// As [`name`], and when there is no such gesture any more.
pub fn rename(own: &mut [Gesture], from: &str, to: &str) -> Result<Gesture, String> {
    let at = place(own, from)?;
    let mut others = own.to_vec();
    others.remove(at);
    own[at].name = name(to, &others)?;
    Ok(own[at].clone())
}

/// Takes one of the user's own away; where it was, and what it was.
///
/// # Errors
/// When there is no such gesture any more.
pub fn remove(own: &mut Vec<Gesture>, name: &str) -> Result<(usize, Gesture), String> {
    let at = place(own, name)?;
    Ok((at, own.remove(at)))
}

/// Puts one back where it was taken away.
///
/// # Errors
/// As [`add`].
pub fn put_back(own: &mut Vec<Gesture>, at: usize, gesture: Gesture) -> Result<(), String> {
    add(own, gesture)?;
    let at = at.min(own.len() - 1);
    own[at..].rotate_right(1);
    Ok(())
}

/// What tells a gesture from all others in a list that is shown: its name and its shape.
pub fn key(gesture: &Gesture) -> String {
    serde_json::to_string(gesture).unwrap_or_default()
}

/// Another tab may have renamed or removed it.
fn place(own: &[Gesture], name: &str) -> Result<usize, String> {
    let at = own.iter().position(|known| known.name == name);
    at.ok_or_else(|| {
        format!("‘{name}’ is not kept any more; another tab has renamed or removed it.")
    })
}

/// The recipe's hand free of its bench and straight: what the gallery shows gestures on. None of a
/// recipe that no hand can be built from.
pub fn free(recipe: &Recipe) -> Option<Posed> {
    let free = Recipe {
        planting: None,
        ..recipe.clone()
    };
    let document = hand::document(&free).ok()?;
    let flat = hand::Rest::Flat.setting(&document);
    let mut posed = Posed::new(&document).ok()?;
    posed.set(&flat);
    Some(posed)
}

/// A gesture on a free hand as what is inside an SVG of [`SIZE`].
pub fn small(free: &Posed, gesture: &Gesture) -> String {
    let mut posed = free.clone();
    posed.set(&gesture.mixed(free, 1.0, None));
    drawn(&figure::thumbnail(&posed, SIGHT, SIZE))
}

/// Onto the palm, fingers up: chosen by eye from eight for the one in
/// which the fewest of the twenty look alike.
const SIGHT: figure::Sight = figure::Sight::Oblique {
    yaw: -std::f64::consts::FRAC_PI_2,
    pitch: -0.9,
};

/// How much of a gesture is mixed in, and to what.
#[derive(Clone, Debug, PartialEq)]
pub struct Mix {
    pub gesture: Gesture,
    /// 0 to 1.
    pub weight: f64,
    /// A digit's name in the recipe; none: all.
    pub digit: Option<String>,
}

impl Mix {
    /// Of what is typed.
    ///
    /// # Errors
    /// When that is no part of a hundred, in a sentence for the place beside the field.
    pub fn typed(gesture: &Gesture, percent: &str, digit: &str) -> Result<Self, String> {
        let percent = crate::typed::value(percent, (0.0, 100.0), Unit::Percent)?;
        Ok(Self {
            gesture: gesture.clone(),
            weight: percent / 100.0,
            digit: (!digit.is_empty()).then(|| digit.to_owned()),
        })
    }

    pub fn setting(&self, posed: &Posed) -> Setting {
        self.gesture
            .mixed(posed, self.weight, self.digit.as_deref())
    }

    /// What the step is called.
    pub fn label(&self) -> String {
        format!("mix in {}", self.gesture.name)
    }

    /// What was done, in a sentence.
    pub fn told(&self, posed: &Posed) -> String {
        let all = strip::digits(posed.document());
        let one = all
            .iter()
            .find(|one| Some(&one.name) == self.digit.as_ref());
        let whom = one.map_or("all digits".to_owned(), |one| format!("the {}", one.spoken));
        let percent = crate::number::plain(100.0 * self.weight);
        format!("{}: {percent} % for {whom}.", self.gesture.name)
    }
}

/// Who of these digits is planted and does not take the shape yet; none: nobody. `digit` as in a
/// [`Mix`], or empty.
pub fn stays(posed: &Posed, digit: &str) -> Option<String> {
    let all = strip::digits(posed.document());
    let wanted = |one: &&strip::Digit| digit.is_empty() || one.name == digit;
    let held: Vec<_> = all
        .iter()
        .filter(wanted)
        .filter(|one| {
            one.is_held(posed) && one.anchor.is_none_or(|anchor| posed.hold(anchor) > 0.0)
        })
        .collect();
    match held.as_slice() {
        [] => None,
        [one] => Some(format!(
            "The {} is planted and stays; it takes the gesture when let go.",
            one.spoken
        )),
        more => Some(format!(
            "{} digits are planted and stay; they take it when let go.",
            more.len()
        )),
    }
}

#[cfg(test)]
mod tests;

use rig::{Channel, Dial, DialId, Document, Drive, Part, Target, Unit};

/// A hand whose digits' joints turn freely: the same with a dial for each of their turns that has
/// a range, named by joint and channel ("index-finger-phalanx-proximal TurnZ"), as far as its own
/// limits, and at zero.
pub fn loose(document: &Document) -> Document {
    let mut document = document.clone();
    let of_digit = |part: &Part| part.digit().is_some();
    let mut turns = Vec::new();
    for node in &document.nodes {
        for channel in [Channel::TurnX, Channel::TurnY, Channel::TurnZ] {
            let range = node.limits[channel.index()].filter(|(least, most)| least < most);
            if let Some(range) = range.filter(|_| node.part.as_ref().is_some_and(of_digit)) {
                turns.push((
                    node.id,
                    format!("{} {channel:?}", node.name),
                    channel,
                    range,
                ));
            }
        }
    }
    for (node, name, channel, range) in turns {
        let drives = vec![Drive::whole(Target::Channel(node, channel), 1.0)];
        let id = DialId(document.take_id());
        document.add_dial(Dial::new(id, &name, Unit::Degrees, range, drives), 0.0);
    }
    document
}

//! The order of a joint's turns, in words.
use rig::{Channel, NodeId, Order, OwnAxis, Rig};

/// Its turns, outermost first, each by the dial that turns it: 'flexion, deviation, twist'. A turn
/// without a dial goes by its axis.
pub fn told(rig: &Rig, node: NodeId, order: Order) -> String {
    order.axes().map(|axis| turn(rig, node, axis)).join(", ")
}

fn turn(rig: &Rig, node: NodeId, axis: usize) -> String {
    let channel = [Channel::TurnX, Channel::TurnY, Channel::TurnZ][axis];
    let turns = |drive: &rig::Drive| drive.target == rig::Target::Channel(node, channel);
    let dial = rig.dials.iter().find(|dial| dial.drives.iter().any(turns));
    dial.map_or_else(
        || OwnAxis::ALL[axis].name().into(),
        |dial| dial.name.clone(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_go_by_their_dials() {
        let text = r#"{"format": "handstand/2", "name": "rye", "nodes": [
            {"name": "wrist", "kind": "joint", "translation": [0, 0, 0], "width": 20}],
            "dials": [
            {"name": "flexion", "unit": "deg", "min": -70, "max": 80, "value": 0,
            "drives": [{"node": "wrist", "channel": "turn_z", "gain": -1}]},
            {"name": "twist", "unit": "deg", "min": -80, "max": 80, "value": 0,
            "drives": [{"node": "wrist", "channel": "turn_x", "gain": 1}]}]}"#;
        let rig = rig::read(text).expect("a good document").rig;
        let wrist = rig.nodes[0].id;
        assert_eq!(told(&rig, wrist, Order::Zyx), "flexion, y, twist");
        assert_eq!(told(&rig, wrist, Order::Xyz), "twist, y, flexion");
    }
}

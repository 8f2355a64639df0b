// Does to a canvas what a packed list says. crates/app/src/widgets/paint.rs packs it: an act's
// number, then what it takes. One call a frame, as each call from the module has its price.

const ALIGN = ['left', 'center', 'right'];

/** `words` are those of the list's fonts and texts one after the other; `colours` what acts 6 and 7 choose from. */
export function replay(c, list, words, colours) {
  let at = 0;
  const taken = (length) => {
    const taken = words.slice(0, length);
    words = words.slice(length);
    return taken;
  };
  while (at < list.length) {
    switch (list[at++]) {
      case 0: c.moveTo(list[at++], list[at++]); break;
      case 1: c.lineTo(list[at++], list[at++]); break;
      case 2: c.bezierCurveTo(list[at++], list[at++], list[at++], list[at++], list[at++], list[at++]); break;
      case 3: c.closePath(); break;
      case 4: c.beginPath(); break;
      case 5: c.fill(); break;
      case 6: c.fillStyle = colours[list[at++]]; break;
      case 7: c.strokeStyle = colours[list[at++]]; break;
      case 8: c.stroke(); break;
      case 9: c.lineWidth = list[at++]; break;
      case 10: c.globalAlpha = list[at++]; break;
      case 11: c.setLineDash([]); c.lineCap = 'round'; break;
      case 12: c.setLineDash([list[at++], list[at++]]); c.lineCap = 'butt'; break;
      case 13: c.font = taken(list[at++]); break;
      case 14: c.textAlign = ALIGN[list[at++]]; break;
      case 15: c.fillText(taken(list[at++]), list[at++], list[at++]); break;
      case 16:
        c.save();
        c.translate(list[at++], list[at++]);
        c.rotate(list[at++]);
        c.fillText(taken(list[at++]), 0, 0);
        c.restore();
        break;
      case 17: c.fillRect(0, 0, list[at++], list[at++]); break;
    }
  }
}

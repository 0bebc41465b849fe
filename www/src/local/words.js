// Words of what is done at a valve by hand. One part of the catalogue.

export const localWords = {
  local: "By hand at the valve",
  local_note: "Somebody walks there and turns the handwheel, which takes minutes. The valve then stays in hand, whatever controls or protection ask. In a plant: authorised people only, under its procedures, isolation and tags.",
  local_valve: "Valve of {heater} to be turned by hand",
  local_to: "Turn it to, in per cent open: {heater}",
  local_send: "Send somebody",
  local_send_title: "Walks there, turns the valve and holds it",
  local_left: "On the way or turning, still",
  local_back: "Hand back",
  local_back_title: "Hand back to its drive: {valve}",
  local_count: "{n} in hand",
  local_start_up_vent: "Start-up vent",
  local_line_drain: "Line drain",
  local_bypass: "Feedwater bypass",
};

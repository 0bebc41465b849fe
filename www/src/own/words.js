// The words about plants of the reader's own: a part of the catalogue in words.js.

export const ownWords = {
  own_choose: "Plant file of your own …",
  own_group: "Your own",
  own_shipped: "Shipped",
  own_title: "A plant of your own",
  own_lead:
    "Open a plant file, or drop it anywhere on this page. The plant runs like a shipped one and takes exercises; its file stays in this browser. A heat balance alone is enough: what running needs besides can be filled in.",
  own_open: "Open a plant file …",
  own_kept: "Kept in this browser",
  own_forget: "Forget",
  own_forgotten: "{title} is forgotten here; the file itself stays where it is.",
  own_show: "Open",
  own_run: "Run it",
  own_write: "Write an exercise on it",
  own_take: "Use it in this exercise",
  own_save: "Save plant file",
  own_facts: "{heaters} heaters, {output} gross at design; short name {name}.",
  own_faults: "{file} was not opened, and nothing has changed. The plant has faults: {n}.",
  own_mend: "Mend them in the file and open it again. The fields, their units and meaning stand in the schema that “bledsteam schema” prints.",
  own_bare: "The file {file} holds a heat balance, and lacks what running needs: {places}. Shells, pipes, valves and pumps of usual proportions can be filled in; where you know the real figures, put them into the file.",
  own_equip: "Fill in the usual",
  own_equipped: "Shells, pipes, valves and pumps of usual proportions were filled in, not your station's. Save the file to put the real figures in.",
  own_unfit: "{file} was not opened, and nothing has changed. What is usual, reckoned from the flows of its balance, gives no plant that runs; faults: {n}. Check that the flows are those of a whole unit.",
  own_missing: "This browser does not have the plant “{name}”, or can no longer read it. Open its file again; meanwhile a shipped plant runs.",
};

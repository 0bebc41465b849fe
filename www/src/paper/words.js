// The words of what is printed: a part of the catalogue in words.js.

export const paperWords = {
  paper_time: "Plant time {time}",
  paper_printed: "printed {when}",
};

export const germanPaperWords = {
  paper_time: "Anlagenzeit {time}",
  paper_printed: "gedruckt {when}",
};

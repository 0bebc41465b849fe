// What the page asks of a learning platform, whatever the standard.

import type { Interaction } from "./interactions.js";

export interface Opened {
  /** The learner's name, where it is told. */
  name: string;
  /** What was kept at the last sitting. */
  kept: string;
  /** Results are recorded; not so where somebody only looks. */
  counts: boolean;
}

export interface Result {
  /** An earlier sitting has said that a run was completed. */
  completedBefore: boolean;
  /** Points, 0 to 100. */
  points: number;
  passed: boolean;
  /** Wall time of this sitting [s]. */
  seconds: number;
  interactions: Interaction[];
}

export interface Port {
  /** Most characters that can be kept. */
  readonly most: number;
  open(): Promise<Opened>;
  /** Keeps a text for the next sitting; null keeps none. */
  keep(text: string | null, seconds: number): Promise<void>;
  report(result: Result): Promise<void>;
  /** Ends the sitting; must not wait, the page may be gone the next moment. */
  close(seconds: number, over: boolean): void;
  /** Where to go afterwards, where the platform says so. */
  readonly back: string | null;
}

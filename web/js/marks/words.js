/** What marks, cues and their being seen are called. */

export const MARK_KINDS = [["light", "light"], ["beacon", "beacon"], ["buoy", "buoy"], ["structure", "structure"], ["landmark", "landmark"], ["point_of_land", "point of land"], ["other", "other"]];

export const kindWords = (kind) => MARK_KINDS.find(([value]) => value === kind)?.[1] ?? kind;

/** A yes or no that may be not known. */
export const YES_NO = [["", "not known"], ["true", "yes"], ["false", "no"]];

export const CUE_KINDS = { bearing: "bearing", range: "range", index: "index line" };

export const SEEN = { yes: "seen", no: "not seen", not_known: "not known" };

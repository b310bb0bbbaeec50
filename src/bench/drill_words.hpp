// Words of a drill's job card and instruments, for those who are new to them.
#pragma once

#include <array>

namespace phasewright {

struct WordMeaning {
  const char* word;
  const char* means;
};

inline constexpr std::array drill_words{
    WordMeaning{"TDC", "top dead centre: a piston at the top of its run; ATDC is after it, BTDC before it"},
    WordMeaning{"firing TDC", "the TDC of No. 1 with both its valves shut: 360°; at 0° is the one where they overlap"},
    WordMeaning{"720°", "all four strokes: 0° is the same as 720°, and 318.5° may be written -41.5°"},
    WordMeaning{"tappet", "the plunger that rides on a lobe"},
    WordMeaning{"lash", "the gap that is left at a valve while its lobe does not lift it"},
    WordMeaning{"rocker", "the lever between tappet and valve"},
    WordMeaning{"rocker ratio", "how many times as far as its tappet a valve is moved"},
    WordMeaning{"lobe centre", "where the crank stands when the middle of a lobe's nose is under the tappet"},
    WordMeaning{"offset key", "a stepped key: its half in the sprocket is out of line with its half in the shaft"},
    WordMeaning{"centres",
                "the distance between the axes that the chain goes round; closer once metal was skimmed off"},
    WordMeaning{"piston stop", "a bar in the plug hole that the piston meets, equally far from TDC on both sides"},
    WordMeaning{"pins", "of the chain, counted along the taut strand between the marks, the marks' own left out"},
    WordMeaning{"down to the piston", "how far a valve could still open before it met the piston"},
    WordMeaning{"proud, behind", "further out, away from the engine, than the other sprockets; further in"},
    WordMeaning{"near edge", "the side of a sprocket toward the other one; the far edge is away from it"},
    WordMeaning{"end float", "how far a camshaft can be pushed to and fro along itself"},
    WordMeaning{"degree wheel", "a disc with 360 degrees on it, bolted to the crank"},
    WordMeaning{"dial indicator", "a clock that shows how far its tip is pushed"},
    WordMeaning{"feeler", "a strip of known thickness; the thickest that goes in is the gap"},
    WordMeaning{"straight-edge", "a bar that is held across the sprockets to see whether they stand in one plane"},
    WordMeaning{"shim", "a thin ring of known thickness, put behind a sprocket"},
    WordMeaning{"standard uncertainty", "how far off a reading commonly is; far more than that is no chance"},
};

} // namespace phasewright

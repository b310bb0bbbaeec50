// Words of a drill's job card and instruments, for those who are new to them.
#pragma once

#include <array>

namespace phasewright {

struct WordMeaning {
  const char* word;
  const char* means;
};

inline constexpr std::array drill_words{
    WordMeaning{"lash", "the gap that is left in a valve's gear while its cam does not lift it"},
    WordMeaning{"rocker ratio", "how many times as far as its tappet a valve is moved"},
    WordMeaning{"lobe centre", "where the crank stands when the middle of a lobe's nose is under the tappet"},
    WordMeaning{"centres",
                "the distance between the axes that the chain goes round; closer once metal was skimmed off"},
    WordMeaning{"piston stop", "a bar in the plug hole that the piston meets, equally far from TDC on both sides"},
    WordMeaning{"pins", "of the chain, counted along the taut strand from one mark to the other"},
    WordMeaning{"proud, behind", "further out, away from the engine, than the other sprockets; further in"},
    WordMeaning{"near edge", "the side of a sprocket toward the other one; the far edge is away from it"},
    WordMeaning{"end float", "how far a camshaft can be pushed to and fro along itself"},
    WordMeaning{"firing TDC", "No. 1 at the top with both its valves shut: 360°; at 0° is the TDC where they overlap"},
    WordMeaning{"ATDC, BTDC", "after the top, before it; before it 318.5° may be written -41.5°"},
    WordMeaning{"standard uncertainty", "how far off a reading commonly is; far more than that is no chance"},
};

} // namespace phasewright

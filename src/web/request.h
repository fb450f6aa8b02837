// What the page in the browser asks for, and what it gets: JSON in, JSON out, pictures as bytes beside it.
// The same functions as the command line's behind it, and nothing measured anywhere else.
//
// A request is an object; "do" names what is wanted:
//   measure        {sled, picture, pictures, record?}: one strip; an answer as measure_request.cpp says
//   class-picture  {class, picture}: one picture of a class, to its lines
//   class-sheet    {class, pictures, lines, thumbnails}: all of them, to the class sheet and its CSV
//   sled           {name, words | file}: a sled's words checked, as words, file and drawing
//   record         {name, sled, lines}: what a sled's record says
//   moved          {result, when}: the entry of a move that was made as a result said
//   frame          {picture}: is a live camera's frame worth taking?
//   style          {}: the pages' style sheet
// "sled" is an object of the names that a sled's file has ("pivot-distance": "45 in"). A picture is {name,
// blob}, with {width, height} when its blob holds pixels (red, green, blue, alpha) that the browser has
// decoded.
//
// Every answer has "status": "done", "measured", "rejected", or "failed" with {code, text, remedy}.
#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace tapersight {

using Blobs = std::vector<std::string>;

// The same answer for the same request: what time it is stands in the request. Nothing is thrown.
std::string answer_request(std::string_view request, const Blobs& blobs);

}  // namespace tapersight

// Text put into HTML, XML and addresses, so that it stays text.
#pragma once
#include <string>
#include <string_view>

namespace tapersight {

// For content and for attributes in double or single quotes: & < > " ' become character references. Bytes
// that are not UTF-8 (RFC 3629) and control characters other than tab and line ends become U+FFFD, so that
// what comes out is valid wherever the text came from.
std::string html_escape(std::string_view text);

// A path beside the page as a relative address (RFC 3986): "a b/7:1.html" -> "./a%20b/7%3A1.html". What it
// leads to is always beside the page: it can carry no scheme and no host.
std::string relative_href(std::string_view path);

// RFC 4648, section 4.
std::string base64(std::string_view bytes);

}  // namespace tapersight

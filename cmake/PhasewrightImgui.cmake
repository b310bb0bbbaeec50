# phasewright_imgui: Dear ImGui with its GLFW and OpenGL 3 back ends and the FreeType font builder, as the distribution
# builds them: one static library without a CMake package. Include <imgui.h>, <imgui_impl_glfw.h>,
# <imgui_impl_opengl3.h>, <imgui_freetype.h>.

find_package(glfw3 3.3 REQUIRED)
find_package(Freetype REQUIRED)
find_path(PHASEWRIGHT_IMGUI_INCLUDE imgui.h PATH_SUFFIXES imgui DOC "Where Dear ImGui's headers are")
find_path(PHASEWRIGHT_IMGUI_BACKENDS imgui_impl_opengl3.h PATH_SUFFIXES imgui/backends imgui
  DOC "Where the headers of Dear ImGui's back ends are")
find_library(PHASEWRIGHT_IMGUI_LIBRARY imgui DOC "Dear ImGui")
find_library(PHASEWRIGHT_STB_LIBRARY stb DOC "The stb libraries Dear ImGui uses")
foreach(found IN ITEMS IMGUI_INCLUDE IMGUI_BACKENDS IMGUI_LIBRARY STB_LIBRARY)
  if(NOT PHASEWRIGHT_${found})
    message(FATAL_ERROR "Dear ImGui is missing: install libimgui-dev and libstb-dev, or set PHASEWRIGHT_VIEWER=OFF.")
  endif()
endforeach()

add_library(phasewright_imgui INTERFACE)
target_include_directories(phasewright_imgui SYSTEM INTERFACE ${PHASEWRIGHT_IMGUI_INCLUDE} ${PHASEWRIGHT_IMGUI_BACKENDS})
target_link_libraries(phasewright_imgui INTERFACE
  ${PHASEWRIGHT_IMGUI_LIBRARY} ${PHASEWRIGHT_STB_LIBRARY} Freetype::Freetype glfw ${CMAKE_DL_LIBS})
